"""One calculator, one file. `calc.registry` finds every module of this folder; nothing is registered elsewhere."""
