"""A published table of sizes, whose bodies exist by its own word."""

# ASTM D5585-11e1, table 1, misses, inches (as quoted in the project's notes): bust, upper chest,
# underbust, waist (curvy).
ASTM = {
    "full_bust": "31 1/8,31 3/4,33,34 1/8,35 1/4,36 1/4,37 1/4,38 3/4,40 3/8,42 1/8,44,46",
    "high_bust": "31 3/4,32 1/4,33 1/4,34 1/8,35,35 7/8,36 3/4,38,39 1/4,40 5/8,42 1/4,43 7/8",
    "underbust": "25 3/4,26 1/2,27 1/4,28,29,30,31,32 1/2,34,35 3/4,37 5/8,39 5/8",
    "waist": "23 7/8,24 5/8,25 3/8,26 1/8,27,28,29,30 3/4,32 1/2,34 1/2,36 3/4,39",
}
# Another waist of the same table.
STRAIGHT = "25 3/8,26 1/8,26 7/8,27 5/8,28 1/2,29 1/2,30 1/2,32 1/4,34,36,38 1/4,40 1/2"
