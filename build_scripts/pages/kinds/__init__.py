"""Kinds of pages: one kind, one file, with `drafts(edition, root)`; found by being in this folder."""
