"""Charts of the running area, laid out on the server."""

from inventory.running.wording.charts import hours_chart, life_chart, scatter_chart, trend_chart, trend_words
from inventory.running.wording.frame import Chart

__all__ = ["Chart", "hours_chart", "life_chart", "scatter_chart", "trend_chart", "trend_words"]
