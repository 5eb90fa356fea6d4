"""The command line: one command a module, each loading its work only when it runs."""
