"""Addresses of the homeowner: each by a signed link, no cookie."""

from django.urls import path

from drainservice.web.homeowner.answer import answer, answered
from drainservice.web.homeowner.bucket_test import bucket_test, bucket_tested
from drainservice.web.homeowner.calendar import calendar
from drainservice.web.homeowner.new_link import new_link
from drainservice.web.homeowner.photos import household_photo
from drainservice.web.homeowner.stop import stop
from drainservice.web.homeowner.yard import storm, yard

urlpatterns = [
    path("y/new", new_link, name="new-link"),
    path("y/<str:signed>/", yard, name="yard"),
    path("y/<str:signed>/storm", storm, name="storm"),
    path("y/<str:signed>/visits/<int:visit_id>/answered", answered, name="answered"),
    path("y/<str:signed>/visits/<int:visit_id>/visit.ics", calendar, name="calendar"),
    path("y/<str:signed>/visits/<int:visit_id>/<slug:word>", answer, name="answer"),
    path("y/<str:signed>/bucket-test/<str:code>", bucket_test, name="bucket-test"),
    path("y/<str:signed>/bucket-test/<str:code>/<slug:said>", bucket_tested, name="bucket-tested"),
    path("y/<str:signed>/photos/<uuid:photo_id>", household_photo, name="household-photo"),
    path("stop/<str:token>", stop, name="stop"),
]
