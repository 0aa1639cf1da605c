"""What to buy: spare tiles as a computed reserve, boxes, trim, materials, and the plan of work."""
