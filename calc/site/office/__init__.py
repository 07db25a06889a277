"""The page for the site office: plan, records, non-conformities, progress and readings in one HTML file."""
