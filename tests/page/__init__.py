"""The page in a real browser, and what stands behind it."""
