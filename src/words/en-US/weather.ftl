# The weather at the site.

frame-weather = Weather
weather-title = Weather
weather-lead = What was read off at the courts in the last two days, and what is foretold for the next three. Rain, wind, frost and heat change what may be done.
weather-to-form = Tell the weather
weather-observed = Read off
weather-forecast = Foretold
weather-none-observed = Nothing was read off in the last two days.
weather-none-forecast = Nothing is foretold.
weather-more = { $count ->
    [one] One more is not shown.
   *[other] { $count } more are not shown.
}
weather-when = When
weather-temp = Temperature
weather-humidity = Humidity
weather-percent = { $percent }{ "\u00A0" }%
weather-wind = Wind
weather-gust = Gusts
weather-wind-gust = { $wind }, gusts { $gust }
weather-rain = Rain
weather-solar = Sun
weather-solar-shown = { $watts }{ "\u00A0" }W/m²
weather-frost = Frost
weather-frost-yes = yes
weather-frost-no = no
weather-heat = Heat index
weather-heat-shown = { $index }, { $band }
weather-heat-note = The heat index is that of the US National Weather Service, for shade and light wind; full sun can add up to 15 °F (8 °C). The word beside it counts what this site adds for its sun. Rest, water and shade come before any table; advice, not law.
weather-band-caution = caution
weather-band-extreme-caution = extreme caution
weather-band-danger = danger
weather-band-extreme-danger = extreme danger
weather-form-title = Tell one reading
weather-form-lead = What you did not read, leave empty. One told before for the same time is replaced.
weather-kind = Was it so, or is it foretold?
weather-at = When; now, if you leave it empty
weather-field = { $what }, { $unit }
weather-rain-since = Rain since the reading before, { $unit }
weather-not-read = Not read
weather-do = Keep this reading
weather-file-title = Send a file
weather-file-lead = Comma-separated values with a header. Its columns are “at” (such as 2031-06-14T13:00:00-04:00), perhaps “kind” (observed or forecast), and any of: { $columns }. Lines that cannot be read are told one by one; the others are kept.
weather-file = File
weather-file-do = Send the file
weather-report = { $taken ->
    [one] One line was kept
   *[other] { $taken } lines were kept
}, { $refused ->
    [0] none refused.
    [one] one refused:
   *[other] { $refused } refused:
}
weather-report-title = What became of the file
weather-report-line = Line { $line }, { $column }: { $detail }
weather-report-whole = Line { $line }: { $detail }
weather-report-more = { $count } more lines were refused.
weather-not-taken = Nothing was kept:
weather-time-wrong = Give the time as date, hours and minutes, or leave it empty.
weather-not-a-number = { $what }: give a number of at most three decimals, or leave it empty.
weather-out-of-range = { $what }: no instrument at a court could read that. Give { $low } to { $high }.
weather-out = no instrument at a court could read that. Give { $low } to { $high }.
