## Words of the house
product = Roundhand

# Day plan: what stands in it
day-turnaround-after = Turnaround after { $session }
day-turnaround-owed = Turnaround still owed after { $session }
day-night-water = Night water

## Dates and times
time-of-12-hours = { $hour }:{ $minute }{ "\u00A0" }{ $half ->
    [pm] PM
   *[am] AM
}
date-long = { $weekday }, { $month } { $day }, { $year }
date-short = { $weekday_short }, { $month } { $day }
weekday-1 = Monday
weekday-2 = Tuesday
weekday-3 = Wednesday
weekday-4 = Thursday
weekday-5 = Friday
weekday-6 = Saturday
weekday-7 = Sunday
weekday-1-short = Mon
weekday-2-short = Tue
weekday-3-short = Wed
weekday-4-short = Thu
weekday-5-short = Fri
weekday-6-short = Sat
weekday-7-short = Sun
month-1 = January
month-2 = February
month-3 = March
month-4 = April
month-5 = May
month-6 = June
month-7 = July
month-8 = August
month-9 = September
month-10 = October
month-11 = November
month-12 = December

## Pages: the frame
frame-skip = Skip to the content
frame-nav = Pages of this site
frame-today = Today
frame-sign-out = Sign out
frame-sign-out-name = Sign out { $name }
frame-foot = the grounds office of this site

## Pages: sign-in
sign-in-title = Sign in
sign-in-lead = For the crews and the office of the courts.
sign-in-wrong = The address or the password is wrong. Check both and try again.
sign-in-email = E-mail address
sign-in-password = Password
sign-in-go = Sign in

## Pages: the choice of sites
sites-title = Choose a site
sites-none = You do not belong to a site yet. Ask the manager of yours to add you.

## Pages: what went wrong
fault-way-out = To the first page
fault-not-found-title = There is nothing here
fault-not-found-text = The page is not there, or it belongs to a site that is not yours.
fault-not-allowed-title = This page is not for your role
fault-not-allowed-text = Your role at this site does not show this page. Ask the manager if you need it.
fault-cross-site-title = That came from somewhere else
fault-cross-site-text = The form was not sent from a page of this office, so nothing was done. Open the page here and send it again.
fault-unreadable-title = This cannot be read
fault-unreadable-text = The address or the form is not complete, so nothing was done. Go back and try again.
fault-method-title = This page does not take that
fault-method-text = Nothing was done. Go back and use the buttons of the page.
fault-state-title = This cannot be done any more
fault-state-text = Somebody was faster, or the day has moved on. Nothing was done; look at the day as it is now.
fault-stale-title = Somebody was faster
fault-stale-text = This was changed after you opened the page. Nothing was done; look at it as it is now.
fault-refused-title = This was not taken
fault-refused-text = Something in the form does not fit, so nothing was done. Go back and check it.
fault-too-large-title = That was too much at once
fault-too-large-text = What you sent is larger than the office takes. Nothing was done.
fault-media-type-title = This cannot be read
fault-media-type-text = What was sent is not a form of this page. Nothing was done.
fault-needs-etag-title = This was not taken
fault-needs-etag-text = The page you sent it from is out of date. Nothing was done; open it again.
fault-too-many-title = Too many tries
fault-too-many-text = Wait a minute, then try again.
fault-failed-title = Something broke here
fault-failed-text = It is not your fault, and it is noted. Try again; if it stays, tell whoever looks after this service.
fault-unavailable-title = The office cannot answer now
fault-unavailable-text = The data cannot be reached at the moment. Try again in a minute; nothing you sent before is lost.

## Pages: the rounds of a day
day-title = Rounds on { $date }
day-at-site = Rounds at { $site }
day-other-days = Other days
day-before = The day before
day-after = The day after
day-clocks-change = The clocks change on this date, so times say which.
day-no-plan-title = This day is not planned yet
day-no-plan-manager = The shifts, the play sessions and the care that is due are known. Plan the day to see who does what, in which order, by when.
day-no-plan-crew = The manager has not planned it yet. Look again later, or ask.
day-no-rounds = No crew has a round on this day.
day-jump = Crews
day-glance = The day at a glance

plan-planned = Planned, not handed out yet
plan-issued = Handed out to the crews
plan-issued-at = Handed out to the crews at { $time }
plan-state = Plan
plan-cost = Cost
plan-best = No plan of this day can cost less.
plan-dearer = At most { $percent }{ "\u00A0" }% dearer than the best possible.
plan-least = The best possible costs at least { $cost }.
plan-counts-leaving = The cost of leaving out what does not fit counts in it.
plan-size = Work
plan-crews = { $count ->
    [one] { $count } crew
   *[other] { $count } crews
}
plan-orders = { $count ->
    [one] { $count } order
   *[other] { $count } orders
}
plan-unfitted = { $count ->
    [0] Everything fits.
    [one] { $count } thing does not fit
   *[other] { $count } things do not fit
}

deed-plan = Plan this day
deed-plan-again = Plan this day again
deed-issue = Hand out the orders
deed-run-under-way = A plan is being searched for
deed-run-ready = A plan is ready to be taken

round-mine = Your round
round-hours = Leaves the shed { $leaves }, back { $returns }
round-people = In the crew
round-kit = Takes along
round-no-kit = No tools
round-orders = Orders of { $crew }
round-warning = Take care: { $cautions }
round-care = Take care
round-care-first = Local codes, the product’s label and licensed practice come first.

order-full-turnaround = Full turnaround
order-short-turnaround = Short turnaround
order-care = Care
order-due = Done by
order-late = Planned to end { $late } after that.
order-tools = Tools
order-groom-along = Groom along the court
order-groom-across = Groom across the court
order-steps = Steps
order-started = Started
order-ended = Given back
order-state-planned = Planned
order-state-issued = Handed out
order-state-under-way = Under way
order-state-finished = Finished
order-state-left-undone = Left undone
order-state-withdrawn = Taken back
order-fit = The court
order-fit-yes = Fit for play
order-fit-not-yet = Not fit for play yet
order-fit-not-yet-until = Not fit for play until { $time }
order-fit-held = Held shut
order-fit-held-why = Held shut: { $reason }
order-undone = Why it was left
undone-court-in-play = The court was in play
undone-weather = The weather
undone-no-tool = The tool was not to be had
undone-no-water = There was no water
undone-no-time = The time did not reach
undone-unsafe = It was not safe
undone-other = Something else

caution-dust = dust
caution-dust-text = Crushed stone makes fine dust. Work the court damp, keep the wind at your back, and wear a mask that fits where it dusts.
caution-heat = heat
caution-heat-text = Heavy work in the heat. Drink before you are thirsty, rest in the shade, and look out for each other.
caution-chemicals = chemicals
caution-chemicals-text = Read the label before you open the bag. Wear the gloves and goggles it asks for, and keep players off the court.
caution-roller = roller
caution-roller-text = Keep feet and hands away from the drum, and never leave the roller on a slope or with the engine on.
caution-net-tension = net cable
caution-net-tension-text = The cable is under tension. Turn the crank slowly, keep your face out of its line, and never let the handle run.
caution-towing = towing
caution-towing-text = Nobody rides on what is towed. Look behind before you turn, keep to a walking pace, and stop before you unhitch.
caution-mains-pump = pump and current
caution-mains-pump-text = The pump runs on mains current. Keep hands and hoses dry, and leave the cabinet to whoever is licensed for it.
caution-other = take care
caution-other-text = Work that can hurt someone. Ask the crew lead before you begin.

water-title = Water
water-lead = Courts that are soaked are not walked on until they have drained.
water-soak = After the turnaround
water-night = At night
water-court = Court
water-times = When
water-volume = How much

unfitted-title = What does not fit
unfitted-none = Everything that is due fits into this day.
unfitted-item = { $place }: { $title }, { $window }
unfitted-no-crew-has-the-skill = Nobody on shift has the skill it takes. Put someone on who has it, or move the work to another day.
unfitted-no-crew-has-the-hands = It takes more people at once than any crew has that day. Make a crew larger, or move the work to another day.
unfitted-no-such-tool = The tool it takes is not in service, or no crew can take all of its tools along.
unfitted-window-shorter-than-the-work = The time between play is shorter than the work. Move a booking, or do less of it.
unfitted-no-crew-on-shift-in-window = No crew is on shift, and able to get there, in the time the court is free.
unfitted-water-cannot-finish = The supply line cannot bring the water that follows it before the court is needed.
unfitted-waits-for-an-unserved-visit = It comes after other work that does not fit either.
unfitted-no-time-left = The crews are busy with other work in the time the court is free. One more crew on shift, or a short turnaround elsewhere, makes room.
unfitted-dearer-than-skipping = Fitting it in would cost more than leaving it for another day.
unfitted-ground-forbids = The ground does not allow it: water stands, it is soft or frozen, or it is too wet or too dry for this work.
unfitted-other = The plan gives no reason that this page knows.

## Pages: the search for a plan
plan-run-title = A plan for { $date }
plan-run-waiting = The search begins in a moment.
plan-run-running = Searching for a good plan. This page looks again by itself.
plan-run-ready = The search has ended. Take this plan, and the day’s orders are written; they are handed out later.
plan-run-taken = This plan was taken.
plan-run-refused = The day cannot be planned as it stands. Look at its shifts, its play and its courts, then try again.
plan-run-failed = The search ended without a plan. Try again; if it stays, tell whoever looks after this service.
plan-run-so-far = The best so far costs { $cost }.
plan-run-costs = It costs { $cost }.
plan-run-stop = Stop, and use the best so far
plan-run-take = Take this plan
plan-run-again = Try again
plan-run-back = Back to the day
plan-run-not-begun-title = The day was not planned
plan-run-not-begun-text = Nobody is on shift that day, its orders are handed out already, or another search is under way. Look at the day as it is now.
plan-run-not-taken-title = The plan was not taken
plan-run-not-taken-text = Something it rests on has changed since the search began, or the day’s orders are handed out already. Plan the day again.
plan-run-not-issued-title = Nothing was handed out
plan-run-not-issued-text = There is no plan to hand out, or its orders are with the crews already. Look at the day as it is now.
