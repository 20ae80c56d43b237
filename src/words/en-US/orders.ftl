# What is done with work orders beside working on them, and what is seen on courts.

order-mend = Mending
order-mend-what = Mend: { $what }
order-rechecked = Looked over
order-note = Note

grade-good = good
grade-acceptable = acceptable
grade-poor = poor

order-title = Work order { $order }
order-follows = It does what work order { $order } left
order-followed-by = What it left is work order { $order }
order-done = Done
order-trail = All that was changed, in the audit trail
order-life = What happened
order-life-none = Nothing yet: it is planned.
order-known-at = the office knew on { $time }
order-event-issued = Handed out
order-event-withdrawn = Withdrawn
order-event-started = Started
order-event-finished = Finished
order-event-left-undone = Left undone
order-event-retimed = Given another time or other tools
order-event-handed-over = Handed over to another crew
order-event-taken-back = Closing taken back: open again
order-event-reinstated = Done all the same after it was withdrawn
order-recheck = Look it over
order-recheck-grade = How is the work?
order-recheck-note = What you saw (if you wish)
order-recheck-keep = Keep
order-hand-over = Hand over
order-hand-over-lead = The other crew gets it at the end of its round, with its tools.
order-take-back = Take the closing back
order-take-back-lead = For a mistake: the order is open again, and its hours, materials and cost are reversed.
order-take-back-why = Why (if you wish)
order-note-text = What is to be known
order-note-keep = Keep the note

note-late-closing = A crew gave this back late: it had been given back before, or taken out of the day. Look at what is booked.
note-late-told = It told { $time } of work.
note-refused = A tablet sent something that was refused

notes-title = Notes to look at
notes-of-order = Work order { $order }
notes-seen = Seen

seen-title = Seen on court
seen-at = Seen { $time }
seen-crew = Crew
seen-issue = Hand out
seen-withdraw = Leave it as it is
seen-mend = Have it mended

defect-low-spot = low spot
defect-hole = hole
defect-loose-line = loose line
defect-lifted-tape = lifted tape or raised nail
defect-torn-net = torn net
defect-loose-net-cable = loose net cable
defect-worn-strap = worn center strap
defect-clogged-sprinkler = clogged sprinkler
defect-standing-water = standing water
defect-weeds-or-algae = weeds or algae
defect-fence-or-windscreen = fence or windscreen damaged
defect-glass-or-sharp = glass or something sharp
defect-other = something else
