"""Addresses of the running area; ``tube_pages`` belong to the name space of holdings."""

from django.urls import path

from inventory.running import api
from inventory.running.views import care, instruments, log, matched, testing, tubes

tube_pages = [path("tubes/<str:tag>/", tubes.tube_page, name="tube")]

urlpatterns = [
    path("running/", testing.home, name="home"),
    path("running/sets/", log.chassis_list, name="chassis-list"),
    path("running/tubes/", log.hours_list, name="hours-list"),
    path("running/<str:kind>/<int:pk>/strike/", log.strike, name="strike"),
    path("sets/<str:tag>/hours/", log.chassis_page, name="chassis"),
    path("sets/<str:tag>/hours/run/", log.run_add, name="run-add"),
    path("sets/<str:tag>/hours/meter/", log.meter_add, name="meter-add"),
    path("runs/<int:pk>/", log.run_correct, name="run-correct"),
    path("meters/<int:pk>/", log.meter_correct, name="meter-correct"),
    path("meters/<int:pk>/read/", log.reading_add, name="reading-add"),
    path("meter-readings/<int:pk>/", log.reading_correct, name="reading-correct"),
    path("tubes/<str:tag>/earlier-hours/", log.earlier_hours, name="earlier-hours"),
    path("tubes/<str:tag>/correct-hours/", log.hours_correct, name="hours-correct"),
    path("hours-corrections/<int:pk>/", log.hours_correction_change, name="hours-correction-change"),
    path("tubes/<str:tag>/test/", testing.test_add, name="test-add"),
    path("tubes/<str:tag>/state/", testing.state_set, name="state-set"),
    path("tests/", testing.tests, name="test-list"),
    path("tests/session/", testing.session, name="session"),
    path("tests/<int:pk>/", testing.test_correct, name="test-correct"),
    path("instruments/", instruments.instrument_list, name="instrument-list"),
    path("instruments/add/", instruments.instrument_add, name="instrument-add"),
    path("instruments/<int:pk>/", instruments.instrument_page, name="instrument"),
    path("instruments/<int:pk>/change/", instruments.instrument_change, name="instrument-change"),
    path("instruments/<int:pk>/minimum/", instruments.minimum_add, name="minimum-add"),
    path("minimums/<int:pk>/", instruments.minimum_change, name="minimum-change"),
    path("matching/", matched.matching, name="matching"),
    path("matching/keep/", matched.matched_add, name="matched-add"),
    path("matched-sets/<int:pk>/", matched.matched_page, name="matched"),
    path("matched-sets/<int:pk>/split/", matched.matched_split, name="matched-split"),
    path("life/", matched.survival, name="survival"),
    path("schedules/", care.schedules, name="schedules"),
    path("schedules.ics", care.schedules_calendar, name="schedules-calendar"),
    path("schedules/add/", care.care_add, name="care-add"),
    path("schedules/<int:pk>/", care.care_change, name="care-change"),
    path("schedules/<int:pk>/done/", care.care_done_add, name="care-done"),
    path("api/hours", api.hours, name="api-hours"),
    path("api/tests", api.tests, name="api-tests"),
]

addresses = {"running": urlpatterns, "holdings": tube_pages}
