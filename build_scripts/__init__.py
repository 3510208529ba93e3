"""Everything that turns the data and the prose into the site; what people type is in ``__main__``."""
