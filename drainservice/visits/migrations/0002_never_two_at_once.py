"""Never two visits at once for a technician: by exclusion in PostgreSQL, by triggers in SQLite."""

from django.db import migrations

STATES = "('planned', 'offered', 'held', 'agreed', 'at_pit')"

CLASH = f"""SELECT 1 FROM visits_visit AS other
    WHERE other.id <> NEW.id AND other.technician_id = NEW.technician_id
    AND other.removed_at IS NULL AND other.state IN {STATES}
    AND other.slot_starts_at < NEW.slot_ends_at AND NEW.slot_starts_at < other.slot_ends_at"""
WHEN = f"""WHEN NEW.technician_id IS NOT NULL AND NEW.slot_starts_at IS NOT NULL
    AND NEW.removed_at IS NULL AND NEW.state IN {STATES}"""
SQLITE = [
    f"""CREATE TRIGGER technician_has_one_visit_at_a_time_{moment}
    BEFORE {verb} ON visits_visit {WHEN}
    BEGIN SELECT RAISE(ABORT, 'a_technician_has_one_visit_at_a_time') WHERE EXISTS ({CLASH});
    END"""
    for moment, verb in [
        ("new", "INSERT"),
        ("moved", "UPDATE"),
    ]
]
# btree_gist is not everywhere; a range of one number stands for equality with core types alone.
POSTGRES = [
    f"""ALTER TABLE visits_visit ADD CONSTRAINT a_technician_has_one_visit_at_a_time
    EXCLUDE USING gist (
        int8range(technician_id, technician_id, '[]') WITH &&,
        tstzrange(slot_starts_at, slot_ends_at, '[)') WITH &&)
    WHERE (technician_id IS NOT NULL AND slot_starts_at IS NOT NULL
        AND removed_at IS NULL AND state IN {STATES})"""
]
UNDO = {
    "sqlite": [
        "DROP TRIGGER technician_has_one_visit_at_a_time_new",
        "DROP TRIGGER technician_has_one_visit_at_a_time_moved",
    ],
    "postgresql": [
        "ALTER TABLE visits_visit DROP CONSTRAINT a_technician_has_one_visit_at_a_time"
    ],
}


def exclude(apps, schema_editor):
    """Put the rule in place."""
    for statement in SQLITE if schema_editor.connection.vendor == "sqlite" else POSTGRES:
        schema_editor.execute(statement, params=None)


def allow(apps, schema_editor):
    """Take it away."""
    for statement in UNDO[schema_editor.connection.vendor]:
        schema_editor.execute(statement, params=None)


class Migration(migrations.Migration):
    dependencies = [("visits", "0001_build")]
    operations = [migrations.RunPython(exclude, allow)]
