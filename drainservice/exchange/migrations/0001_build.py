import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('accounts', '__first__'),
        ('register', '0001_build'),
    ]

    operations = [
        migrations.CreateModel(
            name='Sheet',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=200)),
                ('file_hash', models.CharField(max_length=64)),
                ('read_at', models.DateTimeField()),
                ('is_dry', models.BooleanField()),
                ('report', models.JSONField(default=dict)),
                ('content', models.BinaryField(blank=True, null=True)),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('name__length__lte', 200)), name='sheet_name_is_short_enough'), models.CheckConstraint(condition=models.Q(('file_hash__length__lte', 64)), name='sheet_file_hash_is_short_enough')],
            },
        ),
        migrations.CreateModel(
            name='SheetRow',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('tab', models.CharField(blank=True, max_length=200)),
                ('row', models.PositiveIntegerField()),
                ('outcome', models.CharField(max_length=12)),
                ('cells', models.JSONField(default=list)),
                ('facts', models.JSONField(default=dict)),
                ('fingerprint', models.CharField(max_length=64)),
                ('sheet', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='rows', to='exchange.sheet')),
                ('system', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='sheet_rows', to='register.system')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('tab__length__lte', 200)), name='sheet_row_tab_is_short_enough'), models.CheckConstraint(condition=models.Q(('outcome__length__lte', 12)), name='sheet_row_outcome_is_short_enough'), models.CheckConstraint(condition=models.Q(('fingerprint__length__lte', 64)), name='sheet_row_fingerprint_is_short_enough'), models.CheckConstraint(condition=models.Q(('outcome__in', ['taken', 'refused', 'question', 'duplicate', 'not_data'])), name='sheet_row_outcome_is_a_known_word'), models.UniqueConstraint(condition=models.Q(('system__isnull', False)), fields=('fingerprint',), name='the_same_facts_are_brought_in_once')],
            },
        ),
        migrations.CreateModel(
            name='Question',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('column', models.CharField(blank=True, max_length=200)),
                ('fact', models.CharField(blank=True, max_length=60)),
                ('value', models.CharField(blank=True, max_length=5000)),
                ('reason', models.CharField(max_length=40)),
                ('sentence', models.CharField(max_length=1000)),
                ('is_refusal', models.BooleanField(default=False)),
                ('answer', models.CharField(blank=True, max_length=5000)),
                ('answered_at', models.DateTimeField(blank=True, null=True)),
                ('answered_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('sheet', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='questions', to='exchange.sheet')),
                ('row', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='questions', to='exchange.sheetrow')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('column__length__lte', 200)), name='question_column_is_short_enough'), models.CheckConstraint(condition=models.Q(('fact__length__lte', 60)), name='question_fact_is_short_enough'), models.CheckConstraint(condition=models.Q(('value__length__lte', 5000)), name='question_value_is_short_enough'), models.CheckConstraint(condition=models.Q(('reason__length__lte', 40)), name='question_reason_is_short_enough'), models.CheckConstraint(condition=models.Q(('sentence__length__lte', 1000)), name='question_sentence_is_short_enough'), models.CheckConstraint(condition=models.Q(('answer__length__lte', 5000)), name='question_answer_is_short_enough')],
            },
        ),
    ]
