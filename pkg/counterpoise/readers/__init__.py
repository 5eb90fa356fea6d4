"""From a file's bytes to the model; nothing past this package knows a file format."""
