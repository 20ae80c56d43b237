# People in heat: who begins on shorter work.

setting-heat_begin_days_away = After how many days on no shift somebody begins in heat as one who was away. Advice of the US National Institute for Occupational Safety and Health says a week; not law.

begin-new = { $name } is new: day { $day }.
begin-returning = { $name } is back after time away: day { $day }.
begin-share = { $share } % of the hot hours today.
begin-together = The crew goes together, so all of it rests. No rest is shortened to make up time, and anyone may stop for heat. Advice of the US National Institute for Occupational Safety and Health, not law.
begin-cut = Not all of the rest fits into the shift: work no more of the hot hours than that all the same, and leave the rest undone.
