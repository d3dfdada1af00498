"""What may turn out otherwise in a shot: scenarios drawn for it, and what they say together."""
