"""Compare page: which plan is best."""

from stationflow.ui import compare_views, show

draft = show.product_heading("Compare", "Which plan is best?")
line = show.line_choice(draft, "compare.line")
compare_views.compare_plans(draft, line)
show.next_step("cards", "Cards")
