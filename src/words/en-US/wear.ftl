# How tools wear.

wear-title = Wear
wear-lead = The measured brushes of your tools, the most urgent first: how long they are, and when they will be at their limit by the use of the last four weeks.
wear-none = No tool has a measured part whose class says how wide it works: enter its length when new, and its class’s width.
wear-doubted = Readings to look at
wear-doubted-lead = Something speaks against these. They count once somebody confirms them, or a second reading says the same.
wear-doubt-too-long = longer than the last one: bristles do not grow
wear-doubt-further-than-forecast = further off than its wear so far allows
wear-confirm = It is so
wear-why = Why it is wrong
wear-strike = Strike it
wear-wrong = Is it wrong?
wear-state-doubted = Doubted: it does not count yet
wear-state-struck = Struck: it does not count
wear-readings = { $count ->
    [one] { $count } reading
   *[other] { $count } readings
}, used { $used } so far
wear-worn-out = Worn out: at its limit of { $limit }. Change it.
wear-not-used = Not used in the last four weeks
wear-between = Likely worn out between { $early } and { $late }
wear-not-before = Likely not worn out before { $early }
wear-far-off = Likely good for two years and more
wear-length = About { $length } long; worn out at { $limit }
wear-chart = { $tool }: length against use. About { $length } now. { $when }.
wear-chart-key = Dots are readings, hollow ones doubted, crosses struck. The line is its wear so far, the shaded part what is to come in eight of ten cases, the dashed line the length at which it is worn out.
wear-today = today
wear-fitted = Fitted
wear-used = Pulled so far
wear-a-day = A day, of late
wear-left = Can still go
wear-left-about = about { $likely }; one time in ten less than { $early }
wear-all-readings = Readings
wear-no-readings = Nothing was measured yet: what is said rests on its class alone.
wear-by-hand = Use that no order knows of
wear-by-hand-lead = For work outside the rounds, or a tool that was lent.
wear-far = How far it was pulled ({ $unit })
wear-on = On which day (today, if left empty)
wear-note = What for
wear-add = Add
setting-worn_in_round_cents = What it costs where a brush gives out in the round: courts that wait, the way to the shed. Common practice, no source.
setting-turn_at_um = By how much the ends of a brush may differ before it is turned end for end. Common practice, no source.
wear-change-now = Change it now: that costs least, by { $saving }.
wear-change-quiet-day = Change it at the next weekly check: that costs least, by { $saving }.
wear-turn = Turn it end for end: its ends differ by { $by }.
wear-uneven = Uneven by { $by }: look at how it hangs and how it is pulled.
wear-unreadable = Give how far as a whole number, and a date.
week-report-next-title = Gives out next
week-report-next = about { $length } long, worn out at { $limit }. { $when }.
week-report-next-worn-out = at its limit of { $limit }: change it now.
week-report-next-key = The thick line is its length so far against how far it was pulled, the shaded part what is to come in eight of ten cases, the dashed red line the length at which it is worn out. Dots are readings.
