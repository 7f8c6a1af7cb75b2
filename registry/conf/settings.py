"""All settings, read from the environment. Safe by default: debug is off and a missing secret stops the start."""

from __future__ import annotations

from pathlib import Path

from corsheaders.defaults import default_headers
from csp.constants import NONCE, NONE, SELF

from registry.conf import env

BASE_DIR = Path(__file__).resolve().parents[2]
HOME = Path(env.text("CASTLORE_HOME", str(BASE_DIR / ".castlore")))
"""Where the database, photos, published files and the development secret live unless told otherwise."""
HOME.mkdir(parents=True, exist_ok=True)

# Environment ----------------------------------------------------------------------------------------------------
DEBUG = env.flag("CASTLORE_DEBUG", default=False)
SECRET_KEY = env.text("CASTLORE_SECRET_KEY", default="for-development-only" if DEBUG else None)
ALLOWED_HOSTS = env.words("CASTLORE_HOSTS", "localhost,127.0.0.1,[::1]" if DEBUG else "")
SITE_URL = env.text("CASTLORE_SITE_URL", "http://127.0.0.1:8000").rstrip("/")
BEHIND_PROXIES = env.whole("CASTLORE_PROXIES", 0)

# Apps -----------------------------------------------------------------------------------------------------------
INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.humanize",
    "django.contrib.messages",
    "django.contrib.sessions",
    "django.contrib.staticfiles",
    "django_filters",
    "django_htmx",
    "rest_framework",
    "drf_spectacular",
    "corsheaders",
    "csp",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "allauth.usersessions",
    "registry",
    "api",
]

# Middleware -----------------------------------------------------------------------------------------------------
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "api.cors.PublicCorsMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "registry.web.language.LanguageMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "registry.web.privacy.OwnPagesMiddleware",
    "registry.web.refusals.TooManyMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "allauth.usersessions.middleware.UserSessionsMiddleware",
]
ROOT_URLCONF = "registry.conf.urls"
WSGI_APPLICATION = "registry.conf.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "registry" / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.template.context_processors.i18n",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "csp.context_processors.nonce",
                "registry.web.context.site",
            ]
        },
    }
]

# Database -------------------------------------------------------------------------------------------------------
DATABASES = {"default": env.database(env.text("DATABASE_URL", ""), HOME / "castlore.sqlite3")}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
CACHES = {
    "default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"},
    # Shared by all processes: what took long to work out and never changes.
    "compared": {
        "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
        "LOCATION": HOME / "compared",
        "TIMEOUT": 90 * 86_400,
        "OPTIONS": {"MAX_ENTRIES": 4_000},
    },
}

# Files ----------------------------------------------------------------------------------------------------------
STATIC_URL = "/static/"
STATIC_ROOT = HOME / "static"
MEDIA_URL = "/media/"
MEDIA_ROOT = HOME / "media"
CASTLORE_PUBLISH_ROOT = HOME / "published"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEBUG
        else "whitenoise.storage.CompressedManifestStaticFilesStorage"
    },
}
WHITENOISE_USE_FINDERS = DEBUG

# Security -------------------------------------------------------------------------------------------------------
AUTH_USER_MODEL = "registry.Member"
AUTHENTICATION_BACKENDS = ["registry.web.accounts.SignedIn"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "registry.web.passwords.NotLikeTheAddress"},
    {"NAME": "registry.web.passwords.LongEnough", "OPTIONS": {"min_length": 10}},
    {"NAME": "registry.web.passwords.NotCommon"},
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "home"
ACCOUNT_ADAPTER = "registry.web.accounts.AccountAdapter"
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*"]
ACCOUNT_SIGNUP_FORM_CLASS = "registry.web.accounts.SignupForm"
ACCOUNT_FORMS = {
    "login": "registry.web.forms.signing_in.LoginForm",
    "signup": "registry.web.forms.signing_in.SignupForm",
    "add_email": "registry.web.forms.signing_in.AddEmailForm",
    "change_password": "registry.web.forms.signing_in.ChangePasswordForm",
    "set_password": "registry.web.forms.signing_in.SetPasswordForm",
    "reset_password": "registry.web.forms.signing_in.ResetPasswordForm",
    "reset_password_from_key": "registry.web.forms.signing_in.ResetPasswordKeyForm",
    "reauthenticate": "registry.web.forms.signing_in.ReauthenticateForm",
    "confirm_email_verification_code": "registry.web.forms.signing_in.ConfirmEmailVerificationCodeForm",
}
ACCOUNT_EMAIL_VERIFICATION = "mandatory"
ACCOUNT_EMAIL_VERIFICATION_BY_CODE_ENABLED = True
ACCOUNT_EMAIL_VERIFICATION_SUPPORTS_RESEND = True
ACCOUNT_EMAIL_SUBJECT_PREFIX = "[Castlore] "
MFA_ADAPTER = "registry.web.accounts.SecondStepAdapter"
MFA_FORMS = {
    "authenticate": "registry.web.forms.signing_in.AuthenticateSecondStepForm",
    "reauthenticate": "registry.web.forms.signing_in.ReauthenticateSecondStepForm",
    "activate_totp": "registry.web.forms.signing_in.ActivateTOTPForm",
    "add_webauthn": "registry.web.forms.signing_in.AddWebAuthnForm",
    "authenticate_webauthn": "registry.web.forms.signing_in.AuthenticateWebAuthnForm",
    "reauthenticate_webauthn": "registry.web.forms.signing_in.ReauthenticateWebAuthnForm",
    "edit_webauthn": "registry.web.forms.signing_in.EditWebAuthnForm",
}
MFA_SUPPORTED_TYPES = ["totp", "webauthn", "recovery_codes"]
MFA_TOTP_ISSUER = "Castlore"
MFA_WEBAUTHN_ALLOW_INSECURE_ORIGIN = not SITE_URL.startswith("https:")  # passkeys on this machine alone
ALLAUTH_TRUSTED_PROXY_COUNT = BEHIND_PROXIES
EMAIL_BACKEND = env.text("CASTLORE_EMAIL_BACKEND", "django.core.mail.backends.console.EmailBackend")
EMAIL_HOST = env.text("CASTLORE_EMAIL_HOST", "localhost")
DEFAULT_FROM_EMAIL = env.text("CASTLORE_EMAIL_FROM", "castlore@localhost")

SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SITE_URL.startswith("https:")
SECURE_HSTS_SECONDS = 31_536_000 if SITE_URL.startswith("https:") else 0
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if BEHIND_PROXIES else None
CSRF_TRUSTED_ORIGINS = [SITE_URL] if SITE_URL.startswith("https:") else []
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF, NONCE],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "manifest-src": [SELF],
        "worker-src": [SELF],
    }
}
CORS_ALLOW_ALL_ORIGINS = True
CORS_URLS_REGEX = (
    r"^/v1/(?!(cabinet|deeds|hunt|tokens|me|votes|submissions)(/|$)|(claims|statements)/[^/]+/vote$)"
)
CORS_ALLOW_METHODS = ["GET", "HEAD", "OPTIONS"]
CORS_ALLOW_HEADERS = [*default_headers, "if-none-match"]
CORS_ALLOW_CREDENTIALS = False
CORS_EXPOSE_HEADERS = [
    "ETag",
    "Link",
    "Location",
    "Content-Location",
    "Retry-After",
    "RateLimit",
    "RateLimit-Policy",
    "Idempotency-Replayed",
]
DATA_UPLOAD_MAX_MEMORY_SIZE = 1_000_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 1_000
DATA_UPLOAD_MAX_NUMBER_FILES = 20
FILE_UPLOAD_HANDLERS = ["django.core.files.uploadhandler.TemporaryFileUploadHandler"]

# REST -----------------------------------------------------------------------------------------------------------
REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "api.authentication.TokenAuthentication",
        "api.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["api.permissions.ReadOrScope"],
    "DEFAULT_FILTER_BACKENDS": [],
    "DEFAULT_PAGINATION_CLASS": "api.pagination.CursorPages",
    "DEFAULT_PARSER_CLASSES": ["api.parsers.StrictJSONParser"],
    "DEFAULT_RENDERER_CLASSES": ["api.renderers.JSONRenderer"],
    "DEFAULT_SCHEMA_CLASS": "api.schema.AutoSchema",
    "DEFAULT_THROTTLE_CLASSES": ["api.throttles.ReadThrottle", "api.throttles.WriteThrottle"],
    "DEFAULT_THROTTLE_RATES": {
        "read": env.text("CASTLORE_READ_RATE", "600/min"),
        "write": env.text("CASTLORE_WRITE_RATE", "120/min"),
        "compare": env.text("CASTLORE_COMPARE_RATE", "60/min"),
    },
    "EXCEPTION_HANDLER": "api.errors.handle",
    "NUM_PROXIES": BEHIND_PROXIES,
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
    "UNAUTHENTICATED_USER": "django.contrib.auth.models.AnonymousUser",
    "URL_FORMAT_OVERRIDE": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Castlore",
    "VERSION": "1",
    "OAS_VERSION": "3.1.1",
    "COMPONENT_SPLIT_REQUEST": True,
    "SERVE_INCLUDE_SCHEMA": False,
    "SCHEMA_PATH_PREFIX": "/v1",
    "ENUM_GENERATE_CHOICE_DESCRIPTION": False,
    "POSTPROCESSING_HOOKS": ["api.schema.share"],
    "LICENSE": {"name": "Facts: CC0 1.0"},
}

# Language and time ----------------------------------------------------------------------------------------------
LANGUAGE_CODE = "en-gb"
LANGUAGES = [("en-gb", "English"), ("de", "Deutsch")]
LOCALE_PATHS = [BASE_DIR / "registry" / "locale"]
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True

# Logging --------------------------------------------------------------------------------------------------------
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": env.text("CASTLORE_LOG_LEVEL", "WARNING")},
}

# Registry policy ------------------------------------------------------------------------------------------------
CASTLORE_PHOTO_MAX_BYTES = env.whole("CASTLORE_PHOTO_MAX_BYTES", 12_000_000)
CASTLORE_PHOTO_MAX_PIXELS = env.whole("CASTLORE_PHOTO_MAX_PIXELS", 40_000_000)
CASTLORE_SECOND_STEP = env.flag("CASTLORE_SECOND_STEP", not DEBUG)
CASTLORE_QUOTA_FACTOR = env.whole("CASTLORE_QUOTA_FACTOR", 1)
CASTLORE_TOKEN_MAX_DAYS = env.whole("CASTLORE_TOKEN_MAX_DAYS", 365)
CASTLORE_REPLY_KEPT_HOURS = env.whole("CASTLORE_REPLY_KEPT_HOURS", 24)
