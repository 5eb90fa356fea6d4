"""What each part is for, with its evidence, and the board as the rules see it."""
