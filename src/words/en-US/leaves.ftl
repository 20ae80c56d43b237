# Leaves: off before any brush or roller.

setting-leaf_season_from = The first day of the year from which leaves fall: from then on every visit with a brush or roller begins by taking them off. Empty for no season.
setting-leaf_season_until = The last day of the year on which leaves fall. Empty for no season.
