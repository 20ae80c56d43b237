# The care standard, and when work was last done.

frame-care = Care
care-title = Care standard
care-lead = What is done to the courts, how often, and how pressing it is once it is due.
care-to-last = When was it last done?
care-not-taken = Nothing was changed:
care-changed-meanwhile = Somebody changed this task since you opened the page. It is shown as it is now: change it again if you still want to.
care-none = This site has no care standard yet, so that no work falls due.
care-begin-lead = The standard that comes with the program holds the usual daily, weekly, monthly and seasonal work on clay courts. Every task can then be changed or given up. Local codes, the product’s label and licensed practice come before it.
care-begin-language = Language of the names on work orders
care-language-en = English
care-language-es = Spanish
care-begin = Take the shipped standard
care-group-session = After each session
care-group-daily = Daily
care-group-weekly = Weekly, or every few weeks
care-group-monthly = Monthly
care-group-season = By season
care-group-needed = When it is needed
care-group-given-up = Given up
care-rule-after-each-session = After each session of play
care-rule-daily = Every day
care-rule-every-days = { $days ->
    [1] Every day
    [7] Every week
    [14] Every two weeks
   *[other] Every { $days } days
}
care-rule-monthly = Every month
care-rule-yearly = Once a year
care-rule-recurs = On set days since { $from }: { $rrule }
care-rule-after-play-hours = After { $hours } hours of play
care-rule-after-rain-mm = After { $rain } of rain
care-rule-day-after-rain-mm = The day after { $rain } of rain
care-rule-when-condition = When a court is found { $conditions }
care-rule-as-found = When somebody sees that it is needed
care-rule-unknown = The rule does not read: set it anew
care-season = { $from } to { $until }
care-day-of-year = { $month } { $day }
care-where = Where
care-at-turnaround = in the turnaround of a court
care-at-court = on a court
care-at-bank = on a whole bank
care-only = only { $what }
care-watering-sprinkler = sprinkler-watered
care-watering-subsurface = watered from below
care-watering-hand = hosed
care-lines-tape = with tapes
care-lines-painted = with painted lines
care-crew = Crew
care-people = { $count ->
    [one] one person, { $time }
   *[other] { $count } people, { $time } of work
}
care-skill = { $people }; takes the skill “{ $skill }”
care-tool = Tool
care-tool-smooths = one that smooths
care-tool-levels = one that levels
care-tool-loosens = one that loosens
care-tool-clears-lines = one that clears lines
care-tool-firms = one that firms
care-tool-clears-leaves = one that clears leaves
care-tool-takes-up-water = one that takes up water
care-tool-spreads = one that spreads
care-tool-measures = one that measures
care-tool-wets = one that wets
care-rest = Rest
care-rest-for = the court is shut for { $time } after it
care-source = Known from { $source }
care-safety = Somebody may be hurt where it is left out.
care-urgency = How pressing
care-urgency-of-the-turnaround = as the turnaround it belongs to
care-urgency-before-play = Before play
care-urgency-today = Today
care-urgency-this-week = This week
care-urgency-can-wait = Can wait
care-save = Save
care-save-of = Save { $task }
care-give-up = Give up
care-give-up-of = Give up { $task }
care-take-up = Take up again
care-take-up-of = Take up { $task } again
care-last-title = When was it last done?
care-last-lead = Tell it a bank at a time, as far as you know. Work counts from there until it is really done. What nobody knows is not overdue: it is spread evenly over the days until it would come round again.
care-last-of = Last done, { $bank }
care-last-set-of = Last done: { $task }
care-last-on = { $date }
care-last-between = between { $from } and { $until }
care-last-some = { $count ->
    [one] one court not known
   *[other] { $count } courts not known
}
care-last-never = not told
care-last-unknown = nobody knows
care-last-due = due { $date }
care-last-due-between = due { $from } to { $until }
care-last-rest-unknown = Nobody knows when the others were last done: spread them evenly
care-last-do = Keep for { $bank }
care-last-nothing = Give at least one day, or tick that nobody knows.
care-last-not-a-day = Give each day as year, month and day, such as 2031-06-10.
