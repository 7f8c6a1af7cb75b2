"""Every address: the API under /v1, accounts, the admin pages, and the site itself."""

from django.contrib import admin
from django.urls import include, path
from django.views.decorators.csrf import csrf_exempt
from django.views.i18n import set_language

from registry.web.views.signing_up import SignupView

urlpatterns = [
    path("v1/", include("api.urls")),
    path("accounts/signup/", SignupView.as_view(), name="account_signup"),
    path("accounts/", include("allauth.urls")),
    path("admin/", admin.site.urls),
    # Exempt, so that reading sets no cookie; who is tricked into sending it reads in another language, no more.
    path("language", csrf_exempt(set_language), name="set_language"),
    path("", include("registry.web.urls")),
]

handler400 = "registry.web.views.errors.bad_request"
handler403 = "registry.web.views.errors.forbidden"
handler404 = "registry.web.views.errors.not_found"
handler500 = "registry.web.views.errors.server_error"
