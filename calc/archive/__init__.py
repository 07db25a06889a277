"""Issued revisions: content-addressed files, a chain of records, an index that can be made again from them."""
