"""Answers put into a form: one module a form, each a pure function from an answer to text."""
