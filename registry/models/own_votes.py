"""The database itself refuses a vote on what the voter brought in, unless it names an example of the voter's.

A trigger, since the rule spans tables. SQLite cannot rebuild a table that a trigger speaks of, which is how Django
alters tables there: so the trigger is lifted before migrations run and put back after them, see registry.apps.
"""

from django.db.backends.base.base import BaseDatabaseWrapper

NAMES = ("vote_not_ones_own_insert", "vote_not_ones_own_update")
SAID = "nobody votes on what they brought in themselves"

BROUGHT_IN = """
NEW.claim_id IS NOT NULL
AND NOT EXISTS (SELECT 1 FROM registry_example e WHERE e.id = NEW.example_id AND e.owner_id = NEW.by_id)
AND (
    EXISTS (SELECT 1 FROM registry_claim c WHERE c.id = NEW.claim_id AND c.author_id = NEW.by_id)
    OR EXISTS (
        SELECT 1 FROM registry_claim c JOIN registry_photo p ON p.submission_id = c.submission_id
        WHERE c.id = NEW.claim_id AND p.owner_id = NEW.by_id)
    OR EXISTS (
        SELECT 1 FROM registry_dispute d JOIN registry_photo p ON p.dispute_id = d.id
        WHERE d.rival_id = NEW.claim_id AND p.owner_id = NEW.by_id)
)
"""

FUNCTION = f"""
CREATE OR REPLACE FUNCTION registry_vote_not_ones_own() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF {BROUGHT_IN} THEN
        RAISE EXCEPTION '{SAID}' USING ERRCODE = 'check_violation';
    END IF;
    RETURN NEW;
END $$
"""  # noqa: S608 (no value from outside)


def install(connection: BaseDatabaseWrapper) -> None:
    """Put the trigger in place, or again in place. Nothing where the tables are not there yet."""
    tables = set(connection.introspection.table_names())
    if not {"registry_vote", "registry_claim", "registry_photo", "registry_dispute"} <= tables:
        return
    lift(connection)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(FUNCTION)
        for name in NAMES:
            deed = "INSERT" if name.endswith("insert") else "UPDATE OF by_id, claim_id, example_id"
            if connection.vendor == "postgresql":
                cursor.execute(
                    f"CREATE TRIGGER {name} BEFORE {deed} ON registry_vote "
                    "FOR EACH ROW EXECUTE FUNCTION registry_vote_not_ones_own()"
                )
            else:
                cursor.execute(
                    f"CREATE TRIGGER {name} BEFORE {deed} ON registry_vote WHEN {BROUGHT_IN} "
                    f"BEGIN SELECT RAISE(ABORT, '{SAID}'); END"
                )


def lift(connection: BaseDatabaseWrapper) -> None:
    """Take the trigger away, where there is one."""
    if "registry_vote" not in connection.introspection.table_names():
        return
    with connection.cursor() as cursor:
        for name in NAMES:
            on = " ON registry_vote" if connection.vendor == "postgresql" else ""
            cursor.execute(f"DROP TRIGGER IF EXISTS {name}{on}")
