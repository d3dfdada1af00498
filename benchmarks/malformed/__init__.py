"""Documents and requests as nobody should send them, and what the service makes of them."""
