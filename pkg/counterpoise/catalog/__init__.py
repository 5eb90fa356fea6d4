"""The rules, part cards, fabrication profiles and tables: loaded from TOML, never executed."""
