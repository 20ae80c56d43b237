# Pages: calendars, and what they would change
decide-calendars = { $count ->
    [one] A booking of this date changed: take it or leave it
   *[other] { $count } bookings of this date changed: take them or leave them
}
calendars-title = Calendars
calendars-lead = Where play and closures come from. A file that is sent twice changes nothing the second time.
calendars-none = No calendar is set up yet.
calendars-waiting = { $count ->
    [one] One change waits for you
   *[other] { $count } changes wait for you
}
calendars-waiting-why = These touch a date that is planned. Nothing is changed until somebody says yes; plan the day anew after that.
calendars-change-add = New: { $when }.
calendars-change-move = From { $was } to { $when }.
calendars-change-cancel = Cancelled: { $when }.
calendars-accept = Take it
calendars-refuse = Leave it
calendars-not-accepted = The change could not be made: it no longer waits, it has begun, or the court is in play then. Move the other session first.
calendars-not-read = The file is no calendar, or not a whole one. Nothing was changed. Save it again as an .ics file and send it whole.
calendars-back = Back to the calendars
calendars-not-added = The calendar was not added. Give it a name that no other calendar has, and where it has an address, one that begins with https://.
calendars-add-title = Add a calendar
calendars-name = Name
calendars-court = Court
calendars-makes = What its events are
calendars-short = The short turnaround will do after its sessions
calendars-address = Address it is fetched from (leave it empty where files are sent)
calendars-add = Add the calendar
calendars-by-place = Each event names its court
calendars-makes-sessions = Play
calendars-makes-closures = Closures
calendars-asked = Its address was last asked on { $at }.
calendars-not-asked = Its address was not asked yet.
calendars-fetch-failed = Nothing came from its address: { $why }.
calendars-taken-at = Last taken on { $at }:
calendars-nothing-yet = Nothing was taken of it yet.
calendars-file = Calendar file (.ics)
calendars-send = Send the file
calendars-count-taken = { $count } new
calendars-count-changed = { $count } changed
calendars-count-cancelled = { $count } cancelled
calendars-count-unchanged = { $count } as before
calendars-count-proposed = { $count } waiting for a yes
calendars-count-refused = { $count } not taken
calendars-count-none = nothing to do.
calendars-refused-line = Line { $line }, { $field }: { $detail }.
calendars-lines = What was changed
calendars-line-taken = New
calendars-line-changed = Changed
calendars-line-cancelled = Cancelled
calendars-line-proposed = Waits for a yes
calendars-more = and { $count } more
