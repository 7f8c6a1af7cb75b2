# The site as docker-compose.yml runs it. Debian, Python 3.11 (what the pins are made for), an account without rights.
FROM python:3.11-slim-bookworm AS packages
RUN python -m venv /opt/castlore
COPY requirements.txt /tmp/requirements.txt
RUN /opt/castlore/bin/pip install --no-cache-dir --require-hashes -r /tmp/requirements.txt

FROM python:3.11-slim-bookworm
ENV PATH=/opt/castlore/bin:$PATH PYTHONUNBUFFERED=1 PYTHONDONTWRITEBYTECODE=1 CASTLORE_HOME=/srv/castlore
RUN useradd --system --uid 10001 --home-dir /srv/castlore --create-home castlore \
    && install -d -o castlore -g castlore /srv/castlore/media /srv/castlore/published
COPY --from=packages /opt/castlore /opt/castlore
COPY . /opt/site
WORKDIR /opt/site
# manage.py compiles the translations too. This secret signs nothing: it only lets the settings load.
RUN CASTLORE_SECRET_KEY=gathering-static-files python manage.py collectstatic --noinput
USER castlore
EXPOSE 8000
CMD ["granian", "--interface", "wsgi", "--host", "0.0.0.0", "--port", "8000", "registry.conf.wsgi:application"]
