"""Every address: the API under /v1, accounts, the admin pages, and the site itself."""

from django.contrib import admin
from django.urls import include, path

urlpatterns = [
    path("v1/", include("api.urls")),
    path("accounts/", include("allauth.urls")),
    path("admin/", admin.site.urls),
    path("", include("registry.web.urls")),
]

handler400 = "registry.web.views.errors.bad_request"
handler403 = "registry.web.views.errors.forbidden"
handler404 = "registry.web.views.errors.not_found"
handler500 = "registry.web.views.errors.server_error"
