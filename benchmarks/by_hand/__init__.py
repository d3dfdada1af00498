"""What a lead would do by hand, held against the product's own choice: demo cases and invented hull-like layouts."""
