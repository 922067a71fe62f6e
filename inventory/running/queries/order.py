"""Orders in time that both databases keep alike: without a time of day comes before those of that day with one."""

from django.db.models import F

IN_TIME = ("on", F("at").asc(nulls_first=True), "pk")
LATEST_FIRST = ("-on", F("at").desc(nulls_last=True), "-pk")
