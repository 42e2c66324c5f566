"""All addresses: one list for each audience, each view behind its own door."""

from django.urls import include, path

urlpatterns = [
    path("", include("drainservice.web.anyone.urls")),
    path("", include("drainservice.web.dispatcher.urls")),
    path("", include("drainservice.web.technician.urls")),
    path("", include("drainservice.web.homeowner.urls")),
]

handler404 = "drainservice.web.anyone.errors.not_found"
handler500 = "drainservice.web.anyone.errors.broken"
