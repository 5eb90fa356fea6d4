"""What a board is, whichever file it came from: frozen, slotted, no input or output."""
