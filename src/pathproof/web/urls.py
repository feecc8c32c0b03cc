"""Every address of the app; `access` says who may open it."""

from django.urls import include, path

handler403 = "pathproof.web.errors.not_allowed"
handler404 = "pathproof.web.errors.not_found"
handler500 = "pathproof.web.errors.failed"

urlpatterns = [
    path("", include("pathproof.web.customer.urls")),
    path("", include("pathproof.web.handover.urls")),
    path("", include("pathproof.web.history.urls")),
    path("", include("pathproof.web.listing.urls")),
    path("", include("pathproof.web.people.urls")),
    path("", include("pathproof.web.prepare.urls")),
    path("", include("pathproof.web.signals.urls")),
    path("", include("pathproof.web.specify.urls")),
    path("", include("pathproof.web.survey.urls")),
]
