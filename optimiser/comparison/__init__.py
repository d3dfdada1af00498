"""Two plans beside each other: what differs that a person can act on."""
