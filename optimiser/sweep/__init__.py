"""One sequence at other temperatures and initiator levels: what the front and the gel clock make of each."""
