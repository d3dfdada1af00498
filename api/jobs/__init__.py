"""Jobs: their states, who works on them, and how none of them is ever lost."""
