# The crew's tablet.

deeds = What to do
back = Back
back-to-now = To the order now
to-now = { $crew }: to the order now
done = Done
more = More
why = Why
what = What
language = Language
somebody = somebody
other = Something else
elsewhere = Elsewhere
less-of = Less: { $of }
more-of = More: { $of }
try-again = Try again
tell-office = Tell the office
in-own-words = In your own words, if you like
could-not-keep = This could not be kept here. Tap again; if it stays, free some space and call the office.

## The line to the office

waiting = { $number } waiting
all-sent = All sent
nothing-waits = Nothing waits
must-mend = { $number } to mend
link-no-signal = No signal
link-sign-in = Sign in again
link-not-allowed = This tablet is not allowed here
link-trouble = The office cannot answer
sign-in-again = The office does not know this tablet any more. All you told is kept and goes out once you are in.
pair-again = Pair this tablet
sign-in-as-person = Sign in
old-day = No signal yet today. This is the round of { $date }.
lightning-now = Lightning: everybody off the courts
lightning-until = Nobody goes back out before { $time }, and only when a lead says so.
lightning-wait = Nobody goes back out until a lead says so.
heat-now = Stopped for heat: water, shade, rest

## Who

who-title = Crew and person
who-holds = Who holds the tablet?
which-site = Site
which-crew = Crew
not-on-shift = { $crew } (not on shift)
who-needs-signal = A crew's first time needs signal. Go where there is some, then try again.
who-sign-in = Sign in first: the links are above.

## The order now

round = The round
round-done = The round is done
round-done-text = Nothing is left for this crew today.
round-empty = No orders
round-empty-text = Nothing was handed to this crew today.
order-gone = This order is not in the round any more
order-mend = Something you told of it must be mended: see “Told and sent”.
order-follows = What was left of this court’s work before.
order-waits = What you told of it is kept here and not sent yet.
by-when = By { $time }
kind-full-turnaround = whole turnaround
kind-short-turnaround = short turnaround
kind-care = care
state-planned = not handed out yet
state-issued = to do
state-under-way = under way
state-finished = given back
state-left-undone = left undone
state-withdrawn = withdrawn: not to be done
fit-yes = fit for play
fit-not-yet = not fit yet
fit-held = held shut
pace-behind = { $time } behind
pace-ahead = { $time } in hand
pace-even = On time
held-because = Held: { $why }
since = Since { $time }, by { $who }
seen-since = since { $time }
where = { $along } { $side ->
    [south] south
   *[north] north
  } of the net, { $across } { $hand ->
    [west] west
   *[east] east
  } of the middle
groom-along = Groom along the court
groom-across = Groom across the court
tools = Tools
materials = From the stores
steps = Steps
not-done = not done
not-in-language = not in your language
given-back = { $time }: { $state }
take-back-text = Not right? Take it back, then close it anew.
start = Start
close = Close
leave-undone = Left undone
take-back = Take back
hold-court = Hold this court
something-seen = Something seen

## Closing

close-title = Close { $place }
all-as-planned = All as planned
looked-and-net = Looked over, net checked
looked = Looked over
net-checked = Net checked
people = Who, how long
one-more-person = One more person
one-more-material = One more from the stores
back-without-closing = Back without closing
fit-question = Fit for play?
fit-question-bank = Fit to be used?
fit-yes-give = Yes, give back
fit-not-yet-give = Not yet
fit-held-give = Hold it
not-ticked = Not ticked: { $steps }. What is still due becomes a new order.
look-first = Look the court over and check the net before you call it fit.
give-all-the-same = Give back all the same
until-when = Until when is it not fit?
until-30-min = 30 min
until-1-h = 1 hour
until-2-h = 2 hours
until-evening = This evening, { $time }
until-morning = { $time }
held-why = Why is it held?
treatment = What was put on
treatment-amount = How much
treatment-who = Who put it on
treatment-where = Where
treatment-wind = Wind
treatment-lot = Lot, as on the bag
treatment-missing = Still to tell of what was put on: { $what }
place-whole = whole court
place-north = north half
place-south = south half
place-edges = edges
place-spots = single spots

## Left undone, hand over, hold, note

undone-title = { $place } left undone
undone-court-in-play = The court was in play
undone-weather = The weather
undone-no-tool = The tool was not to be had
undone-no-water = There was no water
undone-no-time = The time did not reach
undone-unsafe = It was not safe
done-all-the-same = What was done all the same?
give-undone = Give back undone
hand-over = Hand over to another crew
hand-over-title = Hand over { $place }
hand-over-text = The other crew gets it as soon as this tablet has signal.
hold-title = Hold { $place }
hold-text = Nobody plays on it until a lead or the manager opens it again.
hold-now = Hold it now
hold-lifted-tape = Lifted tape
hold-hole = A hole
hold-net-or-post = Net or post
hold-glass = Glass
hold-standing-water = Standing water
add-note = Add a note
note-title = Note on { $place }

## Something seen

defect-title = Something seen: { $place }
defect-low-spot = Low spot
defect-hole = Hole
defect-loose-line = Loose line
defect-lifted-tape = Lifted tape
defect-torn-net = Torn net
defect-worn-strap = Worn strap
defect-clogged-sprinkler = Clogged sprinkler
defect-standing-water = Standing water
defect-weeds-or-algae = Weeds or algae
defect-fence-or-windscreen = Fence or windscreen
defect-glass-or-sharp = Glass or something sharp
defect-shuts = Someone can be hurt by this. If it is not mended at once, hold the court too.
defect-needs = Tap what it is, and where.
where-on-court = Where on the court
tap-the-court = Tap the place. North is up.
place-label = The court: tap the place, or move it by the arrow keys
show-or-say = Show it or say it
take-photo = Take a photo
voice-start = Say it (30 s)
voice-stop = Stop and keep
pictures-kept = Photos: { $photos }, voice notes: { $notes }
photo-unreadable = This photo cannot be read here. The rest is told all the same.
no-microphone = There is no microphone. The rest is told all the same.

## Tools

tool-check = Check tools
tool-title = Check { $tool }
by-number = By number
nets-and-lines = Nets and lines
tool-needs = Read a length or say how a part looks.
by-eye = How it looks
verdict-sound = Sound
verdict-worn = Worn
verdict-change-now = Change now
new-and-limit = New { $start }, worn out at { $limit }
whole-inches = Whole inches
eighths = Eighths
tens-of-mm = Tens of mm
single-mm = Single mm
take-last-away = Take the last away
at-limit = This is worn out: change it.
net-by-gauge = Net by gauge
net-release-first = Release the tension before any work on the net or its cable. The maker's instructions and local codes come first.
net-by-rule = By the rules { $height } high at the center, the strap at most { $strap } wide.
net-height = Height at the center
net-strap = Width of the strap, if you measure it
net-read = Height { $height }, strap { $strap }
net-off = This is not by the rules: the office gets it as something to mend.
odd-longer = { $now } is longer than last time, { $length } on { $date }. Measured again?
odd-shorter = { $now } is much shorter than last time, { $length } on { $date }. Measured again?
odd-keep = Yes, put it down
odd-again = Measure once more
part-brush = Brush
part-sweeper-brush = Sweeper brush
part-centre-strap = Center strap
part-net = Net
part-headband = Headband
part-cable = Net cable
part-line-tape = Line tape
part-windscreen = Windscreen

## Incident, alone, lightning

incident-title = Incident or near miss
emergency-first = Is someone hurt? Call the local emergency number first.
emergency-text = Then stay with them. Tell the office when help is coming.
what-happened = What happened
incident-slip-or-fall = Slip or fall
incident-struck = Struck by something
incident-cut = Cut
incident-heat = Heat
incident-chemical = Chemical
incident-electric = Electric current
incident-vehicle = Cart or roller
incident-where = Where
anyone-hurt = Is anyone hurt?
say-what-first = Tap first what happened.
hurt-yes = Yes, someone is hurt
hurt-no = Nobody is hurt
hurt-unknown = Not known
hurt-near-miss = Near miss: it nearly happened
first-aid = First aid:
first-aid-unknown = not entered for this court; ask the office.
ambulance-way = Way for the ambulance:
ambulance-unknown = not entered for this court; send somebody to the gate.
incident-told = It is told
incident-told-text = A photo helps later, if there is time for it.
alone-title = I work alone
alone-text = You are asked to check in every { $every }. When you do not, the office sees it.
alone-not-asked = This site asks for no check-ins. Agree with your lead how often you call.
alone-begin = I work alone from now
alone-who = { $who }, { $place }
alone-next = Next check-in at { $time }
alone-due = Check in now
alone-missed = A check-in was missed. It was due at { $time }.
alone-seen = The office has your last check-in.
alone-waits = Your last check-in is not sent: the office does not have it.
alone-unseen = No signal: the office cannot see you. Agree on a call, or do not work alone here.
alone-well = I am well
alone-end = I am not alone any more
alone-safety = Local rules on working alone come first.
lightning-title = Thunder or lightning
lightning-text = All go in at once: off the courts, away from fences, poles and nets, into a building or a closed car.
lightning-tell = Everybody off the courts
lightning-again = Heard again? Tap once more: the wait begins anew.
lightning-advice = Call out to others too: they may have no signal.

## The crew

people-title = Clocks and crew
clocks-title = { $crew }: clocks
shift = Shift { $from }–{ $to }
joins-crew = Joins this crew today
leaves-crew = Leaves the crew
clock-in = In
clock-break-start = Break
clock-break-end = Back
clock-out = Out
clock-is-none = not in yet
clock-is-in = in since { $time }
clock-is-break-start = on break since { $time }
clock-is-break-end = back since { $time }
clock-is-out = out since { $time }
courts-title = All courts

## Told and sent

outbox-open = Show
outbox-title = Told and sent
to-mend = To mend
to-mend-text = The office could not take this as it was told. Nothing is lost.
mend = Mend it
send-again = Send again
set-aside = Let it be
was-set-aside = let be
not-sent = Not sent yet
send-now = Try now
sent = Sent
noted = Came too late, noted
noted-text = The office had moved on. It stands as a note: nothing to do.
pictures-wait = Photos and voice notes waiting: { $number }
pictures-refused = Photos or voice notes not taken: { $number }. The rest was told.

## What the office could not take

fault-order-state = The order has moved on: this cannot be done to it any more.
fault-court-held = The court is held. It is not fit before it is opened again.
fault-lightning = Lightning: everybody is off the courts. Wait for the word to go back.
fault-in-future = The time lies ahead. Set the tablet's clock right.
fault-before-day = The time lies before the day of the order.
fault-before-start = The time lies before the start of the order.
fault-minutes-range = The minutes of a person do not fit: 1 to 960.
fault-two-places = A person was on another order then. Give fewer minutes, or take them out.
fault-person-unknown = The office does not know this person. Take them out.
fault-told-twice = A person stands twice in the same minutes. Take one out.
fault-person-left = This person has left. Take them out.
fault-no-pay-rate = This person has no pay rate yet. The manager enters one; then send it again.
fault-material-unknown = The stores do not keep this. Take it out.
fault-quantity-range = That is more than can be right. Give less.
fault-tool-unknown = This tool is not here any more.
fault-part-unknown = This part is not here any more.
fault-part-not-fitted = This part was not fitted on that day.
fault-part-by-eye = This part is judged by eye, not measured.
fault-longer-than-new = That is longer than when it was new. Read it once more.
fault-until-missing = Say until when the court is not fit.
fault-until-range = The time must lie after the work, at most a year later.
fault-reason-missing = Say why.
fault-step-unknown = A step is not of this order any more. Tick anew.
fault-people-missing = Say who did it, and how long it took.
fault-treatment-missing = Tell what was put on: lot, amount, place, wind and who.
fault-before-end = This must come after the order was given back.
fault-span-range = A person's time must end after it began, 16 hours later at most.
fault-time-missing = Say how long this person worked.
fault-too-long-ago = That is too long ago to be told now.
fault-note-missing = Say in a few words what it is.
fault-too-long = That is too many words. Say it shorter.
fault-text-length = A text is missing, or too long.
fault-wind-range = That is more wind than there can be.
fault-not-of-the-people = Name one of the people who worked on the order.
fault-no-skill = This person may not put on chemicals here. Ask the manager.
fault-skill-over = This person's leave to put on chemicals has ended. Ask the manager.
fault-crew-unknown = The office does not know this crew.
fault-crew-has-it = This crew has the order already.
fault-crew-not-on-shift = This crew is not on shift that day.
fault-no-plan = Nothing is planned for that day.
fault-follow-up-begun = What was left has been begun already: it cannot be taken back.
fault-too-late-to-take-back = The shift is over: the manager can still take it back.
fault-closed-before-totals = This was given back too long ago to be taken back.
fault-order-never-issued = This order was never handed out.
fault-order-unknown = There is no such order here.
fault-court-unknown = There is no such court here.
fault-off-the-court = That place is not on the court. Tap again.
fault-nothing-checked = Nothing was looked at yet.
fault-points-range = Give 1 to 9 lengths.
fault-net-of-court = A net hangs on a court: check it there.
fault-net-height-range = No net has that height. Read it once more.
fault-strap-width-range = No strap is that wide. Read it once more.
fault-old-page = This page is older than what it tells. Load it again, then send it once more.
fault-office = The office could not take this now. It is kept; send it again later.
fault-other = The office could not take this.

## Chemicals

label-first = Read the label before you open it: it comes first, with local codes and licensed practice.
label-wear = Wear: { $gear }
label-wind = Wind: at most { $wind }
label-air-least = Air: at least { $air }
label-air-most = Air: at most { $air }
label-rest = Nobody on the court for { $time }
label-sheet = Safety sheet: { $sheet }

## Cautions

caution-dust = Crushed stone makes fine dust. Work the court damp, keep the wind at your back, and wear a mask that fits where it dusts.
caution-heat = Heavy work in the heat. Drink before you are thirsty, rest in the shade, and look out for each other.
caution-chemicals = Read the label before you open the bag. Wear the gloves and goggles it asks for, and keep players off the court.
caution-roller = Keep feet and hands away from the drum, and never leave the roller on a slope or with the engine on.
caution-net-tension = The cable is under tension. Turn the crank slowly, keep your face out of its line, and never let the handle run.
caution-towing = Nobody rides on what is towed. Look behind before you turn, keep to a walking pace, and stop before you unhitch.
caution-pace = Pull the tool at a medium walk, without stopping. Pulled too fast it hops and leaves ridges.
caution-mains-pump = The pump runs on mains current. Keep hands and hoses dry, and leave the cabinet to whoever is licensed for it.
caution-other = Work that can hurt someone. Ask the crew lead before you begin.

## Care tasks

task-leaves-off = Take leaves off
task-look-over = Look over and tread in
task-loosen = Loosen the baselines
task-raise-net = Raise the net
task-light-wetting = Wet lightly and wait
task-groom = Groom, edges included
task-clear-lines = Clear the lines
task-lower-net = Lower and check the net
task-soak = Start the soak
task-hand-watering = Water by hand
task-opening-walk = Opening walk
task-closing-round = Closing round
task-roll = Roll
task-net-and-strap = Net and strap by gauge
task-drains-and-heads = Drains and sprinkler heads
task-edges-and-weeds = Edges and weeds
task-low-spots = Find low spots
task-patch = Patch
task-top-dressing = Top dressing
task-calcium-chloride = Calcium chloride
