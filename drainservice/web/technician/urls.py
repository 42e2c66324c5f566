"""The technician's addresses."""

from django.urls import path

from drainservice.web.technician.going import at_pit, not_reached, set_out
from drainservice.web.technician.inspection import inspection, inspection_done
from drainservice.web.technician.photos import photo
from drainservice.web.technician.pit import pit
from drainservice.web.technician.today import technician_round, today

urlpatterns = [
    path("today", today, name="today"),
    path("rounds/<str:day>/<slug:handle>", technician_round, name="technician-round"),
    path("today/<int:visit_id>/set-out", set_out, name="set-out"),
    path("today/<int:visit_id>/at-pit", at_pit, name="at-pit"),
    path("today/<int:visit_id>/not-reached", not_reached, name="not-reached"),
    path("pits/<str:code>", pit, name="pit"),
    path("pits/<str:code>/inspection", inspection, name="inspection"),
    path(
        "pits/<str:code>/inspections/<uuid:inspection_id>", inspection_done, name="inspection-done"
    ),
    path("photos/<uuid:photo_id>", photo, name="photo"),
]
