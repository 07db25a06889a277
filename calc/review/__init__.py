"""The checker's review: the page, the review file that comes back, numbered comments, the blind check."""
