# Water: valves that somebody opens and closes by hand.

day-open-valve = Open valve { $valve }
day-close-valve = Close valve { $valve }
water-short-nobody-there = Nobody is on shift long enough to open its valve and to close it again, or has the time.
unfitted-nobody-there = Nobody is there who opens the valve and closes it again. A longer shift, or one more crew, brings the water.
setting-valve_slack_s = How much earlier a valve may be opened by hand than its water is to run, and how much later closed.
water-visit-opens = { $crew } opens it at { $time }
water-visit-closes = { $crew } closes it at { $time }
decide-rain-foretold = Rain is foretold from { $from } ({ $fell }): courts likely wet until about { $until }. A forecast shuts no court.
