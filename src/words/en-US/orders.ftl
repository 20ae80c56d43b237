# What is done with work orders beside working on them, and what is seen on courts.

order-mend = Mending
order-mend-what = Mend: { $what }
order-rechecked = Looked over
order-note = Note

grade-good = good
grade-acceptable = acceptable
grade-poor = poor

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
