# How tools wear.

wear-title = Wear
wear-lead = The measured brushes of your tools, the most urgent first: how long they are, and when they will be at their limit, by what is planned, and else by the use of the last four weeks as the season has it.
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
wear-change-quiet-day = Change it at the weekly check about { $on }: that costs least, by { $saving }.
wear-turn = Turn it end for end: its ends differ by { $by }.
wear-uneven = Uneven by { $by }: look at how it hangs and how it is pulled.
wear-unreadable = Give how far as a whole number, and a date.
setting-expense_below_cents = A part that cost less is booked whole on the day it is fitted. Common practice, no source.
setting-spares_permille = In how many of 1,000 times there is to be a spare when one is needed. Common practice, no source.
setting-limits_fall = How the limits of equal tools are to fall: some days apart, or together.
setting-limits_apart_days = How far apart, at the least. Common practice, no source.
wear-taken-off = Taken off on { $date }
wear-why-worn-out = worn out
wear-why-broke = broke in the round
wear-why-in-time = changed in good time
wear-why-tool-retired = its tool was retired
wear-next = The one that took its place
wear-before = The one before it
wear-tension = A cable, strap or net under tension can injure. Release the tension first, keep out of its line, and follow the maker’s instructions; work on posts and anchors is for two people or a licensed contractor, as local codes have it.
wear-tightened = Tightened
wear-times = { $count ->
    [one] once
   *[other] { $count } times
}
wear-tightened-by-hand = How often it was tightened
wear-cost = Cost
wear-cost-of = { $cost }, of which { $booked } is booked on courts
wear-cost-flat = at its tool class’s flat rate; the next one at what you pay for it
wear-cost-none = not known of this one; the next one at what you pay for it
wear-shelf = On the shelf
wear-change = Change it
wear-change-lead = What is left of its cost goes to the courts it served. The new one is taken from the shelf, or at what it cost.
wear-change-why = Why
wear-change-cost = What the new one cost ({ $currency })
wear-change-cost-or-shelf = What the new one cost ({ $currency }); empty: it comes from the shelf
wear-change-new = How long it is when new, if that differs ({ $unit })
wear-change-do = It is changed
wear-change-unreadable = Give costs and lengths as numbers such as 24.80, and a date.
wear-retire = Retire { $tool }
wear-retire-lead = No plan takes it any more, its parts are taken off, and what is left of their cost goes to the courts they served. This cannot be undone.
wear-by-eye = Judged by eye
wear-by-eye-lead = Nets, straps, cables and what else nobody measures.
wear-not-looked-at = nobody looked yet
wear-eye-sound = sound
wear-eye-worn = worn
wear-eye-change-now = change now
ahead-parts-link = What is to come: orders, the half year, how long parts last
ahead-parts-title = Parts to come
spares-title = To order
spares-lead = What is likely to be needed by the forecast of each part, so that a new one is on the shelf in time.
spares-none = Nothing is said yet of how new parts come: say it below.
spares-order-by = Order by { $date }
spares-about = in all about { $cost }, as far as prices are known
spares-enough = The shelf is enough for a year and more.
spares-order = Order { $count } by { $on }: from { $short } on the shelf may fall short.
spares-late = It will be late even if it is ordered today.
spares-shelf = { $shelf } on the shelf, { $fitted } fitted
supply-change = Change how it comes
supply-new = Say how other parts come
supply-kind = Which part
supply-class = On the tools of
supply-of-courts = none: it is a court’s
supply-supplier = From whom
supply-material = On the shelf as
supply-no-shelf = none is kept
supply-lead-days = Days from an order until it is there
supply-cover-days = For how many days an order is to last
supply-life-days = How many days it commonly lasts (empty: by use, or not known)
supply-save = Save
supply-unreadable = Give days as whole numbers.
season-title = The half year to come
season-lead = Likely to be spent on parts in all: { $cost }.
season-part = Part
season-changes = Changes
season-cost = Cost
season-no-price = no price known
shares-title = Equal tools
shares-lead = How the use of each class is shared, so that its tools reach their limits as the site’s settings have it. Crews are given the one that is furthest behind its share. *Days left if all of a class were used alike.
shares-tool = Tool
shares-share = Share
shares-days = Days left*
shares-long = years
lives-title = How long parts last
lives-lead = From those that gave out and those that still hold.
lives-days = { $count ->
    [one] { $count } day
   *[other] { $count } days
}
lives-typical = Half of them last { $typical }; one in ten less than { $early }, one in ten more than { $late }.
lives-by-record = By { $failed } of your own that gave out; the half lies between { $low } and { $high } with 95 % confidence.
lives-by-class = { $failed ->
    [0] None of your own gave out yet: what is commonly known of its kind, as far as those that hold agree.
    [one] One of your own gave out: too few to tell a shape by, so the usual one is taken.
   *[other] { $failed } of your own gave out: too few to tell a shape by, so the usual one is taken.
}
lives-change-at = A planned change costs least after { $age }.
lives-parts = { $count } fitted: the chance that each lasts
lives-on = On
lives-week = A week
lives-month = A month
lives-season = Half a year
week-report-next-title = Gives out next
week-report-next = about { $length } long, worn out at { $limit }. { $when }.
week-report-next-worn-out = at its limit of { $limit }: change it now.
week-report-next-key = The thick line is its length so far against how far it was pulled, the shaded part what is to come in eight of ten cases, the dashed red line the length at which it is worn out. Dots are readings.
wear-check = It was checked
wear-check-lengths = How long it is ({ $unit }), at one point or several across it, set apart by commas
wear-check-verdict = What the eye says
wear-check-do = Put it down
wear-check-unreadable = Give lengths such as 3 1/8 or 79.5, set apart by commas.
