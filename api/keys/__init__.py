"""Who may do what: keys, their scopes, and the ring that answers for each request. Knows nothing of HTTP."""
