"""The page of the chapter."""
