import django.db.models.deletion
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('accounts', '0001_build'),
        ('accounts', '__first__'),
        ('inspections', '0001_build'),
        ('register', '0001_build'),
    ]

    operations = [
        migrations.CreateModel(
            name='Visit',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('purpose', models.CharField(max_length=200)),
                ('state', models.CharField(choices=[('planned', 'planned'), ('offered', 'offered'), ('held', 'held'), ('agreed', 'agreed'), ('at_pit', 'at the pit'), ('made', 'made'), ('not_reached', 'not reached'), ('called_off', 'called off')], default='planned', max_length=12)),
                ('meant_for', models.DateField(blank=True, null=True)),
                ('day', models.DateField(blank=True, null=True)),
                ('window_from', models.TimeField(blank=True, null=True)),
                ('window_to', models.TimeField(blank=True, null=True)),
                ('window_starts_at', models.DateTimeField(blank=True, null=True)),
                ('window_ends_at', models.DateTimeField(blank=True, null=True)),
                ('slot_starts_at', models.DateTimeField(blank=True, null=True)),
                ('slot_ends_at', models.DateTimeField(blank=True, null=True)),
                ('minutes', models.PositiveSmallIntegerField(default=45)),
                ('is_digging', models.BooleanField(default=False)),
                ('held_until', models.DateTimeField(blank=True, null=True)),
                ('was_moved', models.BooleanField(default=False)),
                ('moved_from_day', models.DateField(blank=True, null=True)),
                ('moved_from_window', models.CharField(blank=True, max_length=20)),
                ('set_out_at', models.DateTimeField(blank=True, null=True)),
                ('arrived_at', models.DateTimeField(blank=True, null=True)),
                ('left_at', models.DateTimeField(blank=True, null=True)),
                ('not_reached_because', models.CharField(blank=True, max_length=200)),
                ('called_off_at', models.DateTimeField(blank=True, null=True)),
                ('called_off_by', models.CharField(blank=True, max_length=200)),
                ('called_off_because', models.CharField(blank=True, max_length=200)),
                ('needs_person_since', models.DateTimeField(blank=True, null=True)),
                ('calendar_uid', models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ('sequence', models.PositiveIntegerField(default=0)),
                ('address_key', models.PositiveSmallIntegerField(default=1)),
                ('note', models.TextField(blank=True)),
                ('site', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='visits', to='register.site')),
                ('technician', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='visits', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('purpose__length__lte', 200)), name='visit_purpose_is_short_enough'), models.CheckConstraint(condition=models.Q(('moved_from_window__length__lte', 20)), name='visit_moved_from_window_is_short_enough'), models.CheckConstraint(condition=models.Q(('not_reached_because__length__lte', 200)), name='visit_not_reached_because_is_short_enough'), models.CheckConstraint(condition=models.Q(('called_off_by__length__lte', 200)), name='visit_called_off_by_is_short_enough'), models.CheckConstraint(condition=models.Q(('called_off_because__length__lte', 200)), name='visit_called_off_because_is_short_enough'), models.CheckConstraint(condition=models.Q(('note__length__lte', 5000)), name='visit_note_is_short_enough'), models.CheckConstraint(condition=models.Q(('state__in', ['planned', 'offered', 'held', 'agreed', 'at_pit', 'made', 'not_reached', 'called_off'])), name='visit_state_is_a_known_word'), models.CheckConstraint(condition=models.Q(('minutes__isnull', True), ('minutes__range', (5, 720)), _connector='OR'), name='visit_minutes_lies_in_range'), models.CheckConstraint(condition=models.Q(models.Q(('slot_ends_at__isnull', True), ('slot_starts_at__isnull', True)), ('slot_ends_at__gt', models.F('slot_starts_at')), _connector='OR'), name='a_visit_ends_after_it_starts'), models.CheckConstraint(condition=models.Q(models.Q(('window_ends_at__isnull', True), ('window_starts_at__isnull', True)), ('window_ends_at__gt', models.F('window_starts_at')), _connector='OR'), name='a_promised_window_ends_after_it_starts'), models.CheckConstraint(condition=models.Q(models.Q(('state__in', ['offered', 'held', 'agreed', 'at_pit']), _negated=True), models.Q(('day__isnull', False), ('slot_ends_at__isnull', False), ('slot_starts_at__isnull', False), ('technician__isnull', False), ('window_ends_at__isnull', False), ('window_from__isnull', False), ('window_starts_at__isnull', False), ('window_to__isnull', False)), _connector='OR'), name='a_booked_visit_has_technician_slot_and_promise'), models.CheckConstraint(condition=models.Q(models.Q(('state', 'held'), ('held_until__isnull', False)), models.Q(models.Q(('state', 'held'), _negated=True), ('held_until__isnull', True)), _connector='OR'), name='a_held_visit_says_until_when'), models.CheckConstraint(condition=models.Q(models.Q(('state', 'called_off'), ('called_off_at__isnull', False)), models.Q(models.Q(('state', 'called_off'), _negated=True), ('called_off_at__isnull', True)), _connector='OR'), name='a_visit_called_off_says_when')],
            },
        ),
        migrations.CreateModel(
            name='VisitSystem',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('looks_wanted', models.JSONField(default=list)),
                ('inspection', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='visit_system', to='inspections.inspection')),
                ('system', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='visit_systems', to='register.system')),
                ('visit', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='visit_systems', to='visits.visit')),
            ],
            options={
                'constraints': [models.UniqueConstraint(condition=models.Q(('removed_at__isnull', True)), fields=('visit', 'system'), name='a_visit_names_a_system_once')],
            },
        ),
        migrations.AddField(
            model_name='visit',
            name='systems',
            field=models.ManyToManyField(related_name='visits', through='visits.VisitSystem', to='register.system'),
        ),
        migrations.CreateModel(
            name='Answer',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('sequence', models.PositiveIntegerField()),
                ('by', models.CharField(choices=[('link', 'link'), ('telephone', 'telephone'), ('calendar', 'calendar')], max_length=10)),
                ('word', models.CharField(choices=[('yes', 'yes, come'), ('another_day', 'another day'), ('not_this_year', 'not this year'), ('not_my_house', 'not my house')], max_length=15)),
                ('note', models.CharField(blank=True, max_length=1000)),
                ('at', models.DateTimeField()),
                ('settled_at', models.DateTimeField(blank=True, null=True)),
                ('person', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='answers', to='accounts.person')),
                ('written_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('visit', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='answers', to='visits.visit')),
            ],
            options={
                'indexes': [models.Index(fields=['visit', '-at'], name='answer_latest')],
                'constraints': [models.CheckConstraint(condition=models.Q(('note__length__lte', 1000)), name='answer_note_is_short_enough'), models.CheckConstraint(condition=models.Q(('by__in', ['link', 'telephone', 'calendar'])), name='answer_by_is_a_known_word'), models.CheckConstraint(condition=models.Q(('word__in', ['yes', 'another_day', 'not_this_year', 'not_my_house'])), name='answer_word_is_a_known_word')],
            },
        ),
        migrations.AddIndex(
            model_name='visit',
            index=models.Index(fields=['day', 'technician'], name='visit_by_day'),
        ),
        migrations.AddIndex(
            model_name='visit',
            index=models.Index(condition=models.Q(('state', 'held')), fields=['held_until'], name='visit_held_until'),
        ),
    ]
