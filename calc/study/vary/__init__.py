"""Sensitivity and reliability: how far verdicts hang on inputs, and how sure they are."""
