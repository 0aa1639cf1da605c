"""The drawing of one surface: its tiles and joints, edges, openings, names and findings."""
