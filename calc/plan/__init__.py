"""The planner: which set of parts reaches a power goal within every limit, what it costs, and what gives out first.

It reads the catalogue that the site's build exports as JSON and knows nothing of the files people edit.

- `records`: the catalogue as immutable objects in coherent SI.
- `parameters`: what a vehicle with a set of parts is made of, and its setting for the engine balance.
- `demands`: what an operating point asks of each part, and what each part can bear.
- `vehicle`: one question's vehicle: the parts that may be chosen, and its operating points, solved once each.
- `comparisons`: what one gas path asks for at least when another has been solved.
- `conditions`, `support`, `branches`, `search`: the exact search for the cheapest set, and the frontiers of cost
  against goal and margin.
- `first`: what gives out first when nothing but the power changes.
- `question`, `answer`, `wording`, `sampling`, `terminal`: what is typed, what is answered, and in which words.
"""
