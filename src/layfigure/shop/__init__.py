"""What to buy, what it costs, and whether it is worth making."""
