"""The rules' functions, one module a domain, found by slug."""
