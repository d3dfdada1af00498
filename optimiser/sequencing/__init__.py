"""Which lines open, and when: proposed and bounded on the zone graph by a constraint solver."""
