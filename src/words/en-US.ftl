## Words of the house
product = Roundhand

# Day plan: what stands in it
day-match-service-after = Match service after { $session }
day-turnaround-after = Turnaround after { $session }
day-midday-soak = Midday soak
day-turnaround-owed = Turnaround still owed after { $session }
day-night-water = Night water, { $volume } short

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
frame-ahead = Next two weeks
frame-calendars = Calendars
frame-stops = Stops and holds
frame-water = Water
frame-sign-out = Sign out
frame-sign-out-name = Sign out { $name }
frame-foot = the grounds office of this site
frame-tablet = The crew's tablet page

## Pages: sign-in
sign-in-title = Sign in
sign-in-lead = For the crews and the office of the courts.
sign-in-wrong = The address or the password is wrong. Check both and try again.
sign-in-too-many = Too many tries. Wait { $seconds } seconds, then try again.
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
plan-pay-of-what-fits = Pay for what fits, walks and overtime included.
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
round-now = Now: { $time }, { $place }
round-next = Next: { $time }, { $place }
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
order-expected = Expected here
order-standard = (standard { $time })
order-due = Done by
order-late = Planned to end { $late } after that.
order-tools = Tools
order-materials = From the stores
order-groom-along = Groom along the court
order-groom-across = Groom across the court
order-steps = Steps
order-not-done = Not done
order-started = Started
order-ended = Given back
order-state-planned = Planned
order-state-issued = Handed out
order-state-under-way = Under way
order-state-finished = Finished
order-state-left-undone = Left undone
order-state-withdrawn = Withdrawn
order-fit = The court
order-fit-bank = The bank
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
caution-pace = pace
caution-pace-text = Pull the tool at a medium walk, without stopping. Pulled too fast it hops and leaves ridges.
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
water-page-title = Water on { $date }
water-page-over = The water of the day and the night after
water-page-none = No plan of this date is in force, or no court is watered by sprinklers.
water-page-lead = A run is planned, not done, until a meter, the controller or somebody on the opening walk says so.
water-page-csv = The sheet as a file for the controller
water-short-title = These courts stay short
water-short-flow-over-line = Its valve takes more than the line carries.
water-short-night-too-short = Its cycles and pauses are longer than the time between the last work and the first players.
water-short-line-taken = Other water, the hours of the line or local rules leave no time.
water-short-over-allowance = What may be taken a day does not suffice.
water-short-no-room-beside-others = The other courts of the line leave no time.
water-runs-title = What runs when
water-valve = Valve
water-courts = Courts
water-minutes = Minutes
water-state = What became of it
water-by-hand = Opened and closed by hand
water-cycle = Cycle { $cycle }
water-again = in place of one that did not run
water-state-planned = Planned
water-state-run = Ran
water-state-did-not-run = Did not run
water-ran = It ran
water-did-not-run = It did not run
water-nights-title = How much each court gets, and why
water-nights-lead = The ordinary run is the site's own; weather and what the mornings show only scale it.
water-share = Of the ordinary run
water-why = Why
water-why-weather-unknown = No weather is known to compare with: the ordinary run.
water-why-weather = The air draws { $drawn } mm, ordinarily { $usual } mm: { $percent } % of the ordinary run.
water-why-rain = { $fell } mm of rain: { $percent } %.
water-why-mornings = Found dry on { $dry } and wet on { $wet } of the last mornings: { $percent } %.
water-why-limited = { $wanted } % was wanted; the site's limits make it { $percent } %.
water-levels-title = Courts watered from below
water-levels-lead = Levels are read weekly and after rain. A small step, then a day's wait.
water-level-target = Target
water-level-read = Last read
water-level-due = to be read
water-level-step = What to do
water-step-keep = Leave it as it is.
water-step-wait = Wait until { $until }: the last step still works its way.
water-step-raise = Raise it by { $by } mm, then wait a day.
water-step-lower = Lower it by { $by } mm, then wait a day.
water-step-no-target = No target is set.

unfitted-title = What does not fit
unfitted-none = Everything that is due fits into this day.
tools-aside-title = Brushes to change
tools-aside-why = A drag or broom with a worn brush no longer levels: it stays in the shed until the brush is changed.
tools-aside-item = { $number } { $class }: { $length } left, to be changed at { $limit }
unfitted-item = { $place }: { $title }, { $window }
unfitted-item-until = { $place }: { $title }, until { $until }
unfitted-no-crew-has-the-skill = Nobody on shift has the skill it takes in date. Put someone on who has it, or move the work to another day.
unfitted-no-crew-has-the-hands = It takes more people at once than any crew has that day. Make a crew larger, or move the work to another day.
unfitted-no-such-tool = The tool it takes is not in service, or no crew can take all of its tools along.
unfitted-window-shorter-than-the-work = The time between play is shorter than the work. Move a booking, or do less of it.
unfitted-no-crew-on-shift-in-window = No crew is on shift, and able to get there, in the time the court is free.
unfitted-water-cannot-finish = The supply line cannot bring the water that follows it before the court is needed.
unfitted-over-allowance = What may be taken of water that day does not suffice.
unfitted-waits-for-an-unserved-visit = It comes after other work that does not fit either.
unfitted-no-time-left = The crews are busy with other work in the time the court is free. One more crew on shift, or a short turnaround elsewhere, makes room.
unfitted-dearer-than-skipping = Fitting it in would cost more than leaving it for another day.
unfitted-ground-forbids = The ground does not allow it: water stands, it is soft or frozen, or it is too wet or too dry for this work.
unfitted-dropped-by-hand = Somebody left it out by hand.
unfitted-closed = The court is shut for as long as anybody is on shift.
unfitted-draining = The court drains after rain.
unfitted-resting = The court rests after other work.
unfitted-bookings-in-rest = The court would have to rest after it, and people have booked that time. The first day on which it fits is named where there is one in the next two weeks.
unfitted-newly-dressed = The surface is new and has to bind before it is loosened or levelled.
unfitted-standing-water = Water stands on the court.
unfitted-not-firm = The court is not firm: a heel sinks.
unfitted-frost = The court is frozen, or thawing and not yet drained. Nobody goes on it.
unfitted-too-wet = The court is too wet for this work.
unfitted-too-dry = The court is too dry for this work.
unfitted-heat = It is too hot for heavy work: it waits for the cool hours.
unfitted-wind = There is too much wind for this work.
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

## Week report
week-report-subject = { $site }: { $in_time } of { $due } turnarounds in time, week of { $monday }
week-report-subject-nothing-due = { $site }: week of { $monday }
week-report-week = Week { $week }, { $dates }
week-report-dates = { $month } { $day } to { $last_day }, { $year }
week-report-dates-of-two-months = { $month } { $day } to { $last_month } { $last_day }, { $year }
week-report-dates-of-two-years = { $month } { $day }, { $year } to { $last_month } { $last_day }, { $last_year }
week-report-moment = { $date }, { $time }
week-report-list = { $first }, { $rest }
week-report-list-end = { $first } and { $last }
week-report-so-far = The week still runs. This is how it stood on { $moment }.
week-report-footer = You get this because you are subscribed to the week report of { $site }. To be taken off, tell the grounds manager.
week-report-link = Open Roundhand

week-report-verdict-nothing-due = No turnaround fell due this week.
week-report-verdict-all = { $due ->
    [one] The courts were looked after: the one turnaround that fell due was done in time for play.
   *[other] The courts were looked after: all { $due } turnarounds were done in time for play.
}
week-report-verdict-well = The courts were looked after: { $in_time } of { $due } turnarounds were done in time for play; { $causes }.
week-report-verdict-mostly = The courts were mostly looked after: { $in_time } of { $due } turnarounds were done in time for play; { $causes }.
week-report-verdict-poorly = { $in_time ->
    [0] The courts were not looked after as they should be: none of { $due } turnarounds was done in time for play; { $causes }.
   *[other] The courts were not looked after as they should be: only { $in_time } of { $due } turnarounds were done in time for play; { $causes }.
}
week-report-cause-late = { $number ->
    [one] { $number } was late
   *[other] { $number } were late
}
week-report-cause-left-undone = { $number ->
    [one] { $number } was left undone
   *[other] { $number } were left undone
}
week-report-cause-not-given-back = { $number ->
    [one] { $number } was never given back
   *[other] { $number } were never given back
}
week-report-cause-not-fitted = { $number } did not fit into the day
week-report-cause-not-planned = { $number } came on days without a plan

week-report-courts-title = Turnarounds
week-report-due = Fell due
week-report-in-time = Done in time for play
week-report-in-time-value = { $number } ({ $percent }%)
week-report-finished = Finished
week-report-finished-value = { $short ->
    [0] { $number }
   *[other] { $number }, { $short } of them short
}
week-report-left-undone = Left undone
week-report-not-given-back = Never given back
week-report-not-fitted = Did not fit into the day
week-report-not-planned = On days without a plan
week-report-to-come = Still to come
week-report-care = Other care
week-report-care-value = { $finished } of { $due } done
week-report-misses = Not done in time:
week-report-up-to = up to { $late } late
week-report-counted = { $name } ({ $number })
week-report-miss-about = { $place }, { $moment }
week-report-miss-late = finished { $late } late
week-report-miss-left-undone = left undone
week-report-miss-left-undone-because = left undone: { $why }
week-report-miss-not-given-back = never given back
week-report-miss-not-fitted = did not fit into the day
week-report-miss-not-fitted-because = did not fit into the day: { $why }
week-report-miss-not-planned = the day had no plan
week-report-miss-note = { $words }. The crew says: “{ $note }”
week-report-why-court-in-play = the court was in play
week-report-why-weather = the weather
week-report-why-no-tool = the tool was not to be had
week-report-why-no-water = there was no water
week-report-why-no-time = the time did not reach
week-report-why-unsafe = it was not safe
week-report-why-other = another reason
week-report-why-no-crew-has-the-skill = nobody on shift had the skill
week-report-why-no-crew-has-the-hands = no crew had enough people
week-report-why-no-such-tool = the tool was not in service
week-report-why-window-shorter-than-the-work = the time between play was shorter than the work
week-report-why-no-crew-on-shift-in-window = no crew was on shift in that time
week-report-why-water-cannot-finish = the supply line could not bring the water in time
week-report-why-waits-for-an-unserved-visit = it came after other work that did not fit
week-report-why-no-time-left = the crews were busy elsewhere
week-report-why-dearer-than-skipping = fitting it in would have cost more than leaving it
week-report-why-ground-forbids = the ground did not allow it

week-report-not-fit-title = Not fit for play
week-report-held = held shut since { $since }
week-report-held-because = held shut since { $since }: { $reason }
week-report-not-yet = not yet fit, told { $since }
week-report-not-yet-until = not yet fit, told { $since }; fit from { $until }

week-report-hours-title = Hours
week-report-hours-paid = Paid in all
week-report-hours-order = On work orders
week-report-hours-walk = On the way
week-report-hours-rain-wait = Waiting for rain to pass
week-report-hours-training = Training
week-report-hours-shed = In the shed
week-report-hours-other = Other

week-report-cost-title = Cost
week-report-total = All courts
week-report-usual = { $weeks ->
    [one] Week before
   *[other] Mean of { $weeks } weeks before
}
week-report-usual-value = { $amount }, this week { $against }
week-report-above = { $percent }% above
week-report-below = { $percent }% below
week-report-as-usual = as usual
week-report-cost-labour = Labor
week-report-cost-material = Materials
week-report-cost-water = Water
week-report-cost-tool-wear = Tool wear
week-report-cost-equipment = Equipment
week-report-cost-contract-work = Contract work
week-report-cost-energy = Energy
week-report-cost-overhead = Overhead
week-report-kind-amount = { $kind } { $amount }
week-report-court-head = Court
week-report-cost-head = This week
week-report-usual-head = Usual
week-report-all-courts = All courts
week-report-none = –

week-report-materials-title = Materials
week-report-material-head = Material
week-report-used-head = Used
week-report-on-hand-head = On hand
week-report-low = { $days ->
    [0] Low: at this pace it lasts less than a day.
    [one] Low: at this pace it lasts { $days } day.
   *[other] Low: at this pace it lasts { $days } days.
}
week-report-out = None on hand.

week-report-brushes-title = Brushes
week-report-brushes = { $number ->
    [one] { $number } brush: { $counted }.
   *[other] { $number } brushes: { $counted }.
}
week-report-brushes-worn-out = { $number } to change now
week-report-brushes-near = { $number } near the limit
week-report-brushes-sound = { $number } sound
week-report-brushes-not-measured = { $number } not measured
week-report-brush = { $class } { $number }
week-report-brush-head = Most worn
week-report-reading-head = Reading
week-report-limit-head = Limit
week-report-brush-worn-out = Change it now; measured { $date }.
week-report-brush-near = Near its limit; measured { $date }.
week-report-brush-sound = Sound; measured { $date }.

# What a site sets
setting-calendar_every_s = How often a calendar with an address is asked for what is new.
setting-overtime_pct = Pay beyond the shift, percent of the usual.
setting-short_turnaround_cents = What a short turnaround is taken to cost against the full one.
setting-harder_tool_cents = What each step to a stronger tool than the softest that does the work is taken to cost.
setting-softer_tool_cents = What a tool too soft to do all the work is taken to cost.
setting-only_smoothed_cents = What it is taken to cost when a court that should be levelled or loosened is only smoothed.
setting-seen_water_s = How long it holds what was seen of moisture, standing water and frost on a court.
setting-seen_other_s = How long everything else that was seen of a court holds.
setting-heat_initial_f = Heat index from which an order carries the caution. Published guidance, not law; local codes come first.
setting-heat_high_f = Heat index from which people rest and no heavy work is done. Published guidance, not law; local codes come first.
setting-heat_sun_f = What full sun is taken to add to the heat index of the shade: up to 15 °F.
setting-heat_rest_s = How long a rest in heat is, at the least. It is paid.
setting-heat_every_s = The longest work between two rests in heat.
setting-heat_rest_by = By what a crew rests in heat: from the higher heat index on, or by the table of work and rest by the hour.
setting-latitude_udeg = Where the site lies, millionths of a degree north of the equator.
setting-altitude_mm = How high the site lies above the sea, millimeters.
setting-direction_per = For how long a court keeps the direction it is groomed in: a day, or one grooming.
setting-drain_after_rain_s = How long a court drains after rain, where its own record says nothing yet.
setting-wind_no_sprinkler_mmps = The wind above which sprinklers wait.
setting-drain_after_soak_s = How long a court drains between its soak by day and the next players, where it has no time of its own.
setting-skip_turnaround_cents = What a court that is not turned around is taken to cost.
setting-late_cents_per_h = What an hour after the aim is taken to cost.
setting-aim_before_play_s = How long before the players a turnaround should be over.
setting-soak_around = The time around which a sprinkler-watered court gets its soak.
setting-night_water_from = No night water runs before this time.
setting-night_pause_s = The least pause between two night cycles of a court.
setting-dry_before_play_s = How long a court dries between the last night water and the first players.
setting-night_water_until = When the night's water ends where nobody plays the next day.
setting-water_low_permille = The least of its ordinary run that weather and findings leave a court, thousandths.
setting-water_high_permille = The most of its ordinary run that weather and findings give a court, thousandths.
setting-morning_step_permille = What a morning on which a court is found dry adds to its run, or a wet one takes, thousandths.
setting-lightning_wait_s = How long after the last thunder nobody goes back out. Usual: 30 minutes, advice of the US Weather Service, not law.
setting-propose_by_itself = Whether the office proposes the next day by itself. Nothing is issued without the manager.
setting-propose_at = The time at which the office proposes the next day.

# The look ahead
ahead-title = The next two weeks
ahead-lead = Work that falls due, day by day, beside the hours of the people on shift. Walks between courts are not counted.
ahead-none-short = No day has more work than hours, at any time of the day.
ahead-short-days = { $count ->
    [one] One day has more work than hours:
   *[other] { $count } days have more work than hours:
}
ahead-when = When
ahead-work = Work
ahead-people = People
ahead-part-before-play = Before play
ahead-part-between = Between sessions
ahead-part-after-play = After play
ahead-part-any-time = At any time
ahead-part-short = (too much)
ahead-sum-nothing = Nothing falls due.
ahead-sum-nobody = { $work } of work, and nobody is on shift yet.
ahead-sum = { $work } of work, { $cover } of people on shift.
ahead-tight = Too much at { $span }: at least { $work } of work, { $cover } of people on shift.
ahead-skill = Takes the skill “{ $skill }”: { $work } of work, { $cover } of people who have it.
ahead-task = { $title }: { $places ->
    [one] one place
   *[other] { $places } places
}, { $work }
ahead-more = { $count } more
ahead-withheld = { $count ->
    [one] One piece of work is withheld
   *[other] { $count } pieces of work are withheld
} for now

## Pages: stops and holds
alarm-lightning = Lightning. Go in: everyone off all courts.
alarm-not-before = Nobody goes back out before { $time }, and then only when a manager or crew lead says so.
alarm-more = Stops and holds
stops-title = Stops and holds
stops-now = Lightning and heat
stops-none = Nobody has stopped work.
stops-lightning-since = Lightning since { $since }; the last thunder at { $last }. Rounds pause and every court is held.
stops-not-before = Nobody goes back out before { $time }.
stops-release = All go back out
stops-waits-for-lead = A manager or crew lead says when all go back out.
stops-tell-lightning = Thunder or lightning: all go in
stops-tell-heat = Stop for heat
stops-heat-end = Back to work
stops-heat-site = Everyone has stopped for heat since { $since }: water, shade, rest.
stops-heat-crew = { $crew } has stopped for heat since { $since }: water, shade, rest.
stops-advice = The wait after the last thunder is 30 minutes where the site sets no other: advice of the US Weather Service, not law. Local rules come first. Anyone may stop for heat; nobody is asked why.
stops-hold-needs-words = The court is not held yet: say in a few words what the reason is.
holds-title = Courts held
holds-none = No court is held.
holds-since = Since { $since }, by { $name }
holds-release = Open { $court }
holds-hold-title = Hold a court
holds-court = Court
holds-reason = Why
holds-note = In your own words
holds-hold = Hold this court
hold-lifted-tape = Lifted tape or raised nail
hold-hole = Hole
hold-net-or-post = Net, cable or post
hold-glass = Glass
hold-standing-water = Standing water
hold-other = Something else
decide-title = What to decide
decide-lightning = Lightning: everyone is in, and nobody goes back out before { $time }
decide-held = { $court } is held: { $why }
decide-left-out = { $count ->
    [one] One piece of work is left out: it would have to be done by { $time }
   *[other] { $count } pieces of work are left out: the first would have to be done by { $time }
}
decide-draining = Rain: { $courts }. Expected fit from { $time } by their own record of draining; look before anybody plays.
decide-issue = The plan waits: no crew has its orders until you hand them out

live-changed = Something changed here. What you are at stays as it is until you look again.
live-again = Look again

form-choose = { $field }: choose one of the list
