import django.db.models.deletion
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('accounts', '0001_build'),
        ('accounts', '__first__'),
        ('register', '0001_build'),
    ]

    operations = [
        migrations.CreateModel(
            name='FleetPrior',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('pump_class', models.CharField(max_length=30, unique=True)),
                ('shape', models.FloatField()),
                ('inverse_scale', models.FloatField()),
                ('scale', models.FloatField(default=1.0)),
                ('tests', models.PositiveIntegerField()),
                ('failures', models.PositiveIntegerField()),
                ('made_at', models.DateTimeField()),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('pump_class__length__lte', 30)), name='fleet_prior_pump_class_is_short_enough'), models.CheckConstraint(condition=models.Q(('shape__isnull', True), ('shape__range', (0.001, 1000.0)), _connector='OR'), name='fleet_prior_shape_lies_in_range'), models.CheckConstraint(condition=models.Q(('inverse_scale__isnull', True), ('inverse_scale__range', (1e-06, 1000000.0)), _connector='OR'), name='fleet_prior_inverse_scale_lies_in_range'), models.CheckConstraint(condition=models.Q(('scale__isnull', True), ('scale__range', (0.001, 1000.0)), _connector='OR'), name='fleet_prior_scale_lies_in_range'), models.CheckConstraint(condition=models.Q(('tests__isnull', True), ('tests__range', (0, 1000000000.0)), _connector='OR'), name='fleet_prior_tests_lies_in_range'), models.CheckConstraint(condition=models.Q(('failures__isnull', True), ('failures__range', (0, 1000000000.0)), _connector='OR'), name='fleet_prior_failures_lies_in_range')],
            },
        ),
        migrations.CreateModel(
            name='Inspection',
            fields=[
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('on', models.DateField()),
                ('on_span', models.CharField(choices=[('day', 'day'), ('month', 'month'), ('season', 'season'), ('year', 'year')], default='day', max_length=10)),
                ('person_named', models.CharField(blank=True, max_length=200)),
                ('origin', models.CharField(choices=[('site', 'recorded on site'), ('sheet', 'from a sheet'), ('office', 'written down in the office')], default='site', max_length=10)),
                ('arrived_at', models.DateTimeField(blank=True, null=True)),
                ('left_at', models.DateTimeField(blank=True, null=True)),
                ('device', models.CharField(blank=True, max_length=80)),
                ('body_hash', models.CharField(blank=True, editable=False, max_length=64)),
                ('work_lines', models.TextField(blank=True)),
                ('note', models.TextField(blank=True)),
                ('closed_at', models.DateTimeField(blank=True, null=True)),
                ('corrects', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='corrected_by', to='inspections.inspection')),
                ('person', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('photos', models.ManyToManyField(blank=True, related_name='inspections', to='register.photo')),
                ('system', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='inspections', to='register.system')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('person_named__length__lte', 200)), name='inspection_person_named_is_short_enough'), models.CheckConstraint(condition=models.Q(('device__length__lte', 80)), name='inspection_device_is_short_enough'), models.CheckConstraint(condition=models.Q(('body_hash__length__lte', 64)), name='inspection_body_hash_is_short_enough'), models.CheckConstraint(condition=models.Q(('work_lines__length__lte', 5000)), name='inspection_work_lines_is_short_enough'), models.CheckConstraint(condition=models.Q(('note__length__lte', 5000)), name='inspection_note_is_short_enough'), models.CheckConstraint(condition=models.Q(('origin__in', ['site', 'sheet', 'office'])), name='inspection_origin_is_a_known_word'), models.CheckConstraint(condition=models.Q(('on_span__in', ['day', 'month', 'season', 'year'])), name='inspection_on_span_is_a_known_word'), models.CheckConstraint(condition=models.Q(('left_at__isnull', True), ('left_at__gte', models.F('arrived_at')), _connector='OR'), name='inspection_left_at_not_before_arrived_at')],
            },
        ),
        migrations.CreateModel(
            name='Defect',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('kind', models.CharField(max_length=40)),
                ('part', models.CharField(max_length=20)),
                ('by_rule', models.BooleanField(default=False)),
                ('note', models.CharField(blank=True, max_length=1000)),
                ('found_on', models.DateField()),
                ('mended_on', models.DateField(blank=True, null=True)),
                ('pump', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='defects', to='register.pump')),
                ('system', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='defects', to='register.system')),
                ('inspection', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='defects_found', to='inspections.inspection')),
                ('mended_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='defects_mended', to='inspections.inspection')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('kind__length__lte', 40)), name='defect_kind_is_short_enough'), models.CheckConstraint(condition=models.Q(('part__length__lte', 20)), name='defect_part_is_short_enough'), models.CheckConstraint(condition=models.Q(('note__length__lte', 1000)), name='defect_note_is_short_enough'), models.CheckConstraint(condition=models.Q(('mended_on__isnull', True), ('mended_on__gte', models.F('found_on')), _connector='OR'), name='defect_mended_on_not_before_found_on'), models.UniqueConstraint(condition=models.Q(('mended_on__isnull', True), ('pump__isnull', True), ('removed_at__isnull', True)), fields=('system', 'kind'), name='one_open_defect_of_a_kind_per_system'), models.UniqueConstraint(condition=models.Q(('mended_on__isnull', True), ('pump__isnull', False), ('removed_at__isnull', True)), fields=('pump', 'kind'), name='one_open_defect_of_a_kind_per_pump')],
            },
        ),
        migrations.CreateModel(
            name='Look',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('kind', models.CharField(choices=[('pump', 'pump proof test'), ('percolation', 'drain test'), ('sediment', 'silt'), ('valve', 'check valve'), ('line', 'discharge line'), ('lid', 'lid'), ('alarm', 'alarm'), ('battery', 'battery and power'), ('autumn', 'autumn look'), ('spring', 'spring look'), ('first_look', 'first look')], max_length=12)),
                ('outcome', models.CharField(choices=[('done', 'done'), ('in_part', 'done in part'), ('not_done', 'not done')], max_length=10)),
                ('why_not', models.CharField(blank=True, choices=[('nobody_home', 'nobody home'), ('gate', 'the gate was locked'), ('dog', 'a dog was loose'), ('lid_covered', 'the lid is covered'), ('not_safe', 'not safe'), ('refused', 'refused'), ('wrong_place', 'wrong place'), ('no_part', 'no part'), ('called_off', 'called off')], max_length=12)),
                ('next_step', models.CharField(blank=True, max_length=200)),
                ('next_step_on', models.DateField(blank=True, null=True)),
                ('passed', models.BooleanField(blank=True, null=True)),
                ('note', models.CharField(blank=True, max_length=1000)),
                ('inspection', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='looks', to='inspections.inspection')),
                ('pump', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='looks', to='register.pump')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('next_step__length__lte', 200)), name='look_next_step_is_short_enough'), models.CheckConstraint(condition=models.Q(('note__length__lte', 1000)), name='look_note_is_short_enough'), models.CheckConstraint(condition=models.Q(('kind__in', ['pump', 'percolation', 'sediment', 'valve', 'line', 'lid', 'alarm', 'battery', 'autumn', 'spring', 'first_look'])), name='look_kind_is_a_known_word'), models.CheckConstraint(condition=models.Q(('outcome__in', ['done', 'in_part', 'not_done'])), name='look_outcome_is_a_known_word'), models.CheckConstraint(condition=models.Q(('why_not__in', ['', 'nobody_home', 'gate', 'dog', 'lid_covered', 'not_safe', 'refused', 'wrong_place', 'no_part', 'called_off'])), name='look_why_not_is_a_known_word'), models.CheckConstraint(condition=models.Q(models.Q(('outcome', 'not_done'), models.Q(('why_not', ''), _negated=True)), models.Q(models.Q(('outcome', 'not_done'), _negated=True), ('why_not', '')), _connector='OR'), name='a_look_not_done_says_why'), models.CheckConstraint(condition=models.Q(models.Q(('outcome', 'not_done'), _negated=True), ('passed__isnull', True), _connector='OR'), name='a_look_not_done_passes_nothing'), models.UniqueConstraint(condition=models.Q(('pump__isnull', True), ('removed_at__isnull', True)), fields=('inspection', 'kind'), name='one_look_of_a_kind_per_inspection'), models.UniqueConstraint(condition=models.Q(('pump__isnull', False), ('removed_at__isnull', True)), fields=('inspection', 'kind', 'pump'), name='one_look_of_a_kind_per_pump')],
            },
        ),
        migrations.CreateModel(
            name='Down',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('since_at', models.DateTimeField()),
                ('stop_gap', models.CharField(blank=True, max_length=200)),
                ('told_at', models.DateTimeField(blank=True, null=True)),
                ('proven_at', models.DateTimeField(blank=True, null=True)),
                ('pump', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='downs', to='register.pump')),
                ('found_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inspections.look')),
                ('proven_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inspections.look')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('stop_gap__length__lte', 200)), name='down_stop_gap_is_short_enough'), models.CheckConstraint(condition=models.Q(('proven_at__isnull', True), ('proven_at__gte', models.F('since_at')), _connector='OR'), name='down_proven_at_not_before_since_at'), models.CheckConstraint(condition=models.Q(('proven_by__isnull', True), ('proven_at__isnull', False), _connector='OR'), name='a_proof_has_its_moment'), models.UniqueConstraint(condition=models.Q(('proven_at__isnull', True), ('removed_at__isnull', True)), fields=('pump',), name='a_pump_is_down_once_at_a_time')],
            },
        ),
        migrations.CreateModel(
            name='Reading',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('kind', models.CharField(max_length=30)),
                ('value', models.FloatField()),
                ('uncertainty', models.FloatField(blank=True, null=True)),
                ('seconds_into_test', models.FloatField(blank=True, null=True)),
                ('look', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='readings', to='inspections.look')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('kind__length__lte', 30)), name='reading_kind_is_short_enough'), models.CheckConstraint(condition=models.Q(('value__isnull', True), ('value__range', (-1000000.0, 1000000000.0)), _connector='OR'), name='reading_value_lies_in_range'), models.CheckConstraint(condition=models.Q(('uncertainty__isnull', True), ('uncertainty__range', (0, 1000000000.0)), _connector='OR'), name='reading_uncertainty_lies_in_range'), models.CheckConstraint(condition=models.Q(('seconds_into_test__isnull', True), ('seconds_into_test__range', (0, 31557600)), _connector='OR'), name='reading_seconds_into_test_lies_in_range')],
            },
        ),
        migrations.CreateModel(
            name='Reckoning',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField(default=0)),
                ('today', models.DateField()),
                ('inputs', models.JSONField()),
                ('inputs_hash', models.CharField(max_length=64)),
                ('model_version', models.CharField(max_length=20)),
                ('units', models.CharField(choices=[('trade', 'feet, inches, gallons'), ('metric', 'metres, litres')], max_length=10)),
                ('made_at', models.DateTimeField()),
                ('confirmed_on', models.DateField()),
                ('system', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='reckonings', to='register.system')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('inputs_hash__length__lte', 64)), name='reckoning_inputs_hash_is_short_enough'), models.CheckConstraint(condition=models.Q(('model_version__length__lte', 20)), name='reckoning_model_version_is_short_enough'), models.CheckConstraint(condition=models.Q(('units__in', ['trade', 'metric'])), name='reckoning_units_is_a_known_word'), models.CheckConstraint(condition=models.Q(('position__isnull', True), ('position__range', (0, 9)), _connector='OR'), name='reckoning_position_lies_in_range')],
            },
        ),
        migrations.CreateModel(
            name='Due',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('pump', 'pump'), ('percolation', 'percolation'), ('sediment', 'sediment'), ('valve', 'valve'), ('line', 'line'), ('lid', 'lid'), ('alarm', 'alarm'), ('battery', 'battery'), ('autumn', 'autumn'), ('spring', 'spring'), ('first_look', 'first_look'), ('mend', 'mend'), ('access', 'access')], max_length=12)),
                ('what', models.CharField(blank=True, max_length=40)),
                ('due_on', models.DateField()),
                ('opens_on', models.DateField()),
                ('rank_on', models.DateField()),
                ('can_be_judged', models.BooleanField(default=True)),
                ('governed_by', models.CharField(max_length=40)),
                ('answer', models.JSONField()),
                ('reason_text', models.TextField(blank=True)),
                ('dead_chance', models.FloatField(blank=True, null=True)),
                ('made_at', models.DateTimeField()),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('flagged_at', models.DateTimeField(blank=True, null=True)),
                ('flag', models.CharField(blank=True, max_length=20)),
                ('system', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='dues', to='register.system')),
                ('reckoning', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='dues', to='inspections.reckoning')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('governed_by__length__lte', 40)), name='due_governed_by_is_short_enough'), models.CheckConstraint(condition=models.Q(('what__length__lte', 40)), name='due_what_is_short_enough'), models.CheckConstraint(condition=models.Q(('reason_text__length__lte', 5000)), name='due_reason_text_is_short_enough'), models.CheckConstraint(condition=models.Q(('flag__length__lte', 20)), name='due_flag_is_short_enough'), models.CheckConstraint(condition=models.Q(('kind__in', ['pump', 'percolation', 'sediment', 'valve', 'line', 'lid', 'alarm', 'battery', 'autumn', 'spring', 'first_look', 'mend', 'access'])), name='due_kind_is_a_known_word'), models.CheckConstraint(condition=models.Q(('flag__in', ['', 'past_pump_test', 'clogged_pit', 'past'])), name='due_flag_is_a_known_word'), models.UniqueConstraint(condition=models.Q(('retired_at__isnull', True)), fields=('system', 'kind', 'what'), name='one_current_due_per_system_and_kind')],
            },
        ),
        migrations.CreateModel(
            name='Recommendation',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('what', models.CharField(max_length=200)),
                ('why', models.TextField(blank=True)),
                ('told_on', models.DateField(blank=True, null=True)),
                ('answer', models.CharField(blank=True, choices=[('agreed', 'agreed'), ('declined', 'declined'), ('no_answer', 'no answer')], max_length=10)),
                ('answered_on', models.DateField(blank=True, null=True)),
                ('defect', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inspections.defect')),
                ('system', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='recommendations', to='register.system')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('what__length__lte', 200)), name='recommendation_what_is_short_enough'), models.CheckConstraint(condition=models.Q(('why__length__lte', 5000)), name='recommendation_why_is_short_enough'), models.CheckConstraint(condition=models.Q(('answer__in', ['', 'agreed', 'declined', 'no_answer'])), name='recommendation_answer_is_a_known_word')],
            },
        ),
        migrations.CreateModel(
            name='Result',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('what', models.CharField(max_length=30)),
                ('inputs', models.JSONField()),
                ('outputs', models.JSONField()),
                ('verdict', models.CharField(blank=True, choices=[('good', 'As strong as when new.'), ('watch', 'Weaker than when new; look again in spring.'), ('repeat', 'Too uncertain; measure again.'), ('act', 'Too weak for this lift; mend or replace.')], max_length=10)),
                ('model_version', models.CharField(max_length=20)),
                ('look', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='results', to='inspections.look')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('what__length__lte', 30)), name='result_what_is_short_enough'), models.CheckConstraint(condition=models.Q(('model_version__length__lte', 20)), name='result_model_version_is_short_enough'), models.CheckConstraint(condition=models.Q(('verdict__in', ['', 'good', 'watch', 'repeat', 'act'])), name='result_verdict_is_a_known_word')],
            },
        ),
        migrations.CreateModel(
            name='SelfCheck',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('on', models.DateField()),
                ('answer', models.CharField(choices=[('ran_and_stopped', 'it ran, the level fell, it stopped'), ('did_not_start', 'it did not start'), ('level_stood', 'it ran but the level did not fall'), ('did_not_stop', 'it did not stop'), ('could_not', 'we could not do it')], max_length=20)),
                ('outlet_seen', models.BooleanField(blank=True, null=True)),
                ('water_stood_too_long', models.BooleanField(blank=True, null=True)),
                ('odd_noise', models.BooleanField(blank=True, null=True)),
                ('proved_false_on', models.DateField(blank=True, null=True)),
                ('note', models.CharField(blank=True, max_length=1000)),
                ('person', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.person')),
                ('system', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='self_checks', to='register.system')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('note__length__lte', 1000)), name='self_check_note_is_short_enough'), models.CheckConstraint(condition=models.Q(('answer__in', ['ran_and_stopped', 'did_not_start', 'level_stood', 'did_not_stop', 'could_not'])), name='self_check_answer_is_a_known_word'), models.CheckConstraint(condition=models.Q(('proved_false_on__isnull', True), ('proved_false_on__gte', models.F('on')), _connector='OR'), name='self_check_proved_false_on_not_before_on')],
            },
        ),
        migrations.AddIndex(
            model_name='inspection',
            index=models.Index(fields=['system', '-on'], name='inspection_by_day'),
        ),
        migrations.AddIndex(
            model_name='reckoning',
            index=models.Index(fields=['system', '-id'], name='reckoning_latest'),
        ),
        migrations.AddIndex(
            model_name='due',
            index=models.Index(condition=models.Q(('retired_at__isnull', True)), fields=['rank_on', 'id'], name='due_in_order'),
        ),
        migrations.AddIndex(
            model_name='due',
            index=models.Index(condition=models.Q(('retired_at__isnull', True)), fields=['due_on'], name='due_by_day'),
        ),
    ]
