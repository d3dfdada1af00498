"""Everything printed, made from a plan document and nothing else: run sheet, map and tap labels."""
