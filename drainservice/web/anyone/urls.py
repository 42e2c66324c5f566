"""Addresses open to anyone: signing in, one-time links, the lid's tag, health."""

from django.urls import path

from drainservice.web.anyone import health, lid, signing_in

urlpatterns = [
    path("sign-in", signing_in.sign_in, name="sign-in"),
    path("sign-out", signing_in.sign_out, name="sign-out"),
    path("in/<str:token>", signing_in.let_in, name="let-in"),
    path("lid/<slug:code>", lid.lid, name="lid"),
    path("livez", health.livez, name="livez"),
    path("readyz", health.readyz, name="readyz"),
    path("healthz", health.healthz, name="healthz"),
]
