## Words of the house
product = Roundhand

# Day plan: what stands in it
day-turnaround-after = Turnaround after { $session }
day-night-water = Night water
