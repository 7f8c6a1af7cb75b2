"""Every address: the API under /v1, accounts, the admin pages, and the site itself."""

from django.contrib import admin
from django.urls import include, path

from registry.web.views.signing_up import SignupView

urlpatterns = [
    path("v1/", include("api.urls")),
    path("accounts/signup/", SignupView.as_view(), name="account_signup"),
    path("accounts/", include("allauth.urls")),
    path("admin/", admin.site.urls),
    path("", include("registry.web.urls")),
]

handler400 = "registry.web.views.errors.bad_request"
handler403 = "registry.web.views.errors.forbidden"
handler404 = "registry.web.views.errors.not_found"
handler500 = "registry.web.views.errors.server_error"
