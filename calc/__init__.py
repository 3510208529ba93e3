"""Headroom's arithmetic: calculators, units and provenance, with nothing but the standard library.

The same package runs in a terminal (``python -m calc``), while the site is built, in the tests and in the browser.
It knows nothing of the site, of YAML or of pages.
"""
