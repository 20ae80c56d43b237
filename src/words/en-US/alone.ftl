# Working alone.

setting-alone_check_in_minutes = How often somebody who works alone gives a sign that they are well; 0 asks for none. Common practice, no source: the law of the place, and what the work needs, come first.

alone-title = Working alone
alone-silence = No sign means that nothing is known, for good or bad: a tablet without signal and a person who fell are silent alike. Somebody in danger? The local emergency number comes first.
alone-at = { $name } on { $court }
alone-last-sign = Last sign { $at }, known here at { $learned }.
alone-next = The next is due by { $due }.
alone-due = A sign is due since { $due }.
alone-missed = No sign came that was due at { $due }: it is not known whether they are well. Look for them.
alone-end = { $name } is back: end it
alone-no-interval = The site asks for no signs.

notice-missed-subject = { $site }: no sign of somebody who works alone
notice-missed-lead = Somebody who works alone has given no sign that was due: { $place }, last sign { $at }.
notice-missed-text = It is not known whether they are well. Look for them; if they may be hurt, the local emergency number comes first. The page of the day says who it is.
notice-missed-nowhere = no court was told
