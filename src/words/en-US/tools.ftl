# Tools, and the parts of tools and courts that wear.

parts-to-change-title = To be changed now
parts-to-change-item = Change now: { $kind }, { $place }
parts-to-change-tool = tool { $number }

wear-part-brush = brush
wear-part-sweeper-brush = sweeper brush
wear-part-centre-strap = center strap
wear-part-net = net
wear-part-headband = headband
wear-part-cable = net cable
wear-part-line-tape = line tape
wear-part-windscreen = windscreen
