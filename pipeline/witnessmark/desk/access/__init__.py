"""Who may do what: people with roles, sign-in, and the guard before every handler."""
