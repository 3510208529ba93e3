"""Section drawings with a calculator's numbers on them: the gas path, the fuel system, the clutch and its oil."""
