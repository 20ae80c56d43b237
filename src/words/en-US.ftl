## Words of the house
product = Roundhand
