## Pages: what happened in a day, and a day changed by hand

deed-happened = What happened?
deed-change-order = Change
replan-title = What happened on { $date }
replan-how = Tell what happened. You see what it would change and what that costs; nothing changes before you take it. Work that is done or under way stays as it is.
replan-kind-rain = It rains
replan-kind-crew-away = A crew goes home
replan-kind-person-away = Somebody is away
replan-kind-court-shut = A court is shut
replan-kind-tool-broken = A tool is broken
replan-kind-play-runs-over = Play ends at another time
replan-kind-work-runs-over = Work takes longer
replan-kind-add = More work
replan-kind-other = Something else
replan-kind-pin = Who does it, and when
replan-kind-drop = Leave it out
replan-kind-free = Let the plan decide again
replan-other-text = Play, closures, shifts or tools were changed elsewhere, or a stop is over: plan what is left of the day by what holds now.
replan-from = From (now, where it is empty)
replan-until = Until
replan-start = Start (whenever it fits, where it is empty)
replan-over-at = Over at
replan-done-at = Done at
replan-crew = Crew
replan-person = Person
replan-court = Court
replan-tool = Tool
replan-task = Work
replan-session = Play
replan-order = Work under way
replan-reason = Why it is shut
replan-because = In your own words, for the crews
replan-try = Show what changes
replan-order-now = { $crew } does it now, { $time }.
replan-needs-time = Give a time, as hours and minutes.
replan-needs-choice = Choose one of the list.
replan-trial-title = What would change
replan-take = Take it
replan-leave = Leave the day as it is
replan-again = Back to the form
replan-refused-title = That cannot be done
replan-refused = { $why }
replan-pay-same = Pay for what is left of the day: { $cost }, as before.
replan-pay-more = Pay for what is left of the day: { $cost }, { $more } more than as planned.
replan-pay-less = Pay for what is left of the day: { $cost }, { $more } less than as planned.
replan-cost-same = With what it is taken to cost to leave work out or be late, it costs the same as before.
replan-cost-more = With what it is taken to cost to leave work out or be late, it is { $more } dearer than as planned.
replan-cost-less = With what it is taken to cost to leave work out or be late, it is { $more } cheaper than as planned.
replan-time-over = { $count ->
    [one] One piece of work is left out: its time was over before anybody came to it.
   *[other] { $count } pieces of work are left out: their time was over before anybody came to them.
}
replan-nothing-moves = Nothing changes for the crews.
replan-nothing-moved = Nothing changed for the crews.
replan-kept = { $count ->
    [one] One visit stays as it is.
   *[other] { $count } visits stay as they are.
}
replan-became-retimed = { $crew } comes at { $time } instead of { $was }.
replan-became-moved = { $crew } does it at { $time }, instead of { $from } at { $was }.
replan-became-other-way = { $crew } does it another way, at { $time }: a new order.
replan-became-left-out = It is left out; { $from } was to come at { $was }.
replan-became-brought-in = { $crew } does it at { $time }; it was not in the plan.
replan-note-pin-without-start = { $about }: the time fixed by hand cannot be kept.
replan-note-pin-lost = { $about }: the crew fixed by hand cannot do it any more.
replan-note-crew-done = { $about } has no more time today.
replan-note-break-late = { $about } gets its break late.
replan-note-tool-lost = { $about } is not at hand any more.
replan-note-watering-late = { $about }: its water cannot end in time any more.
replan-changed-title = What changed
replan-changed-at = { $count ->
    [one] Changed at { $time }: one visit
   *[other] Changed at { $time }: { $count } visits
}
replan-changed-because = { $count ->
    [one] Changed at { $time }: { $because } (one visit)
   *[other] Changed at { $time }: { $because } ({ $count } visits)
}
unfitted-time-over = Its time was over before anybody came to it.
unfitted-no-longer-due = It is not due any more.
since-title = Play changed after this day was planned
since-set = { $court }: { $name }, { $time }, is new or was changed
since-called-off = { $court }: { $name }, { $time }, was called off
since-over = { $court }: { $name } was over at { $end }
since-shut = { $court } is shut { $time }: { $name }
since-open-after-all = { $court } is not shut after all { $time }: { $name }
since-more = { $count ->
    [one] … and one more change
   *[other] … and { $count } more changes
}
since-try = See what it changes
since-because = Play changed after the day was planned
order-said-done = Said to be done
