# Chemicals: what the label says, and what was put on.

label-first = Read the product's label before you open it: it comes first, with local codes and licensed practice.
label-wear = Wear
label-wind = Wind
label-wind-most = at most { $wind }
label-air = Air
label-air-between = { $least } to { $most }
label-air-least = at least { $least }
label-air-most = at most { $most }
label-dry = Rain
label-dry-after = none for { $time } after it
label-rest = Court
label-rest-after = nobody on it for { $time }
label-sheet = Safety sheet

treatment-put-on = Put on
treatment = { $product }, lot { $lot }, { $amount }, { $place }
treatment-wind = wind { $wind }
treatment-over-wind = wind { $wind }: more than the { $most } that were allowed

unfitted-air-outside-label = It is too cold or too warm for what is put on.
unfitted-rain-near = Rain is foretold too soon after it: it would be washed off.
