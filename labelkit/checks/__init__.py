"""labelkit's own advice: craft, the order, durability, the smallest trim."""
