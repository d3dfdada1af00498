"""What the HTTP service costs and how fast it is, with the client on the same machine."""
