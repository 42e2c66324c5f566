"""History can be added to, never deleted or changed, but for emptying its private part."""

from django.db import migrations

SQLITE = [
    """CREATE TRIGGER history_is_not_deleted BEFORE DELETE ON accounts_change
    BEGIN SELECT RAISE(ABORT, 'history is not deleted'); END""",
    """CREATE TRIGGER history_is_not_changed BEFORE UPDATE ON accounts_change
    WHEN NOT (NEW.private IS NULL AND NEW.id = OLD.id AND NEW.at = OLD.at
        AND NEW.asker = OLD.asker AND NEW.door = OLD.door AND NEW.request_id = OLD.request_id
        AND NEW.action = OLD.action AND NEW."group" = OLD."group"
        AND NEW.subject = OLD.subject AND NEW.subject_id = OLD.subject_id
        AND NEW.site IS OLD.site AND NEW.before = OLD.before AND NEW.after = OLD.after)
    BEGIN SELECT RAISE(ABORT, 'history is not changed'); END""",
]
POSTGRES = [
    """CREATE FUNCTION history_stands() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
        IF TG_OP = 'DELETE' THEN RAISE EXCEPTION 'history is not deleted'; END IF;
        IF NEW.private IS NULL AND (to_jsonb(NEW) - 'private') = (to_jsonb(OLD) - 'private')
        THEN RETURN NEW; END IF;
        RAISE EXCEPTION 'history is not changed';
    END $$""",
    """CREATE TRIGGER history_stands BEFORE UPDATE OR DELETE ON accounts_change
    FOR EACH ROW EXECUTE FUNCTION history_stands()""",
]
UNDO = {
    "sqlite": ["DROP TRIGGER history_is_not_deleted", "DROP TRIGGER history_is_not_changed"],
    "postgresql": [
        "DROP TRIGGER history_stands ON accounts_change",
        "DROP FUNCTION history_stands()",
    ],
}


def guard(apps, schema_editor):
    """Put the triggers in place."""
    for statement in SQLITE if schema_editor.connection.vendor == "sqlite" else POSTGRES:
        schema_editor.execute(statement, params=None)


def unguard(apps, schema_editor):
    """Take them away."""
    for statement in UNDO[schema_editor.connection.vendor]:
        schema_editor.execute(statement, params=None)


class Migration(migrations.Migration):
    dependencies = [("accounts", "0001_build")]
    operations = [migrations.RunPython(guard, unguard)]
