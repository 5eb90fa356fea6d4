"""Two boards held side by side: which parts pair up, which wires moved, what was replaced."""
