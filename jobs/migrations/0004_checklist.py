"""Short codes of checklists, tries of them, and photographs that answer for a condition."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("contractor", "0002_photo"),
        ("jobs", "0003_catalogue"),
    ]

    operations = [
        migrations.CreateModel(
            name="CodeTry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("at", models.DateTimeField(db_index=True)),
                (
                    "place_hash",
                    models.CharField(
                        db_index=True, help_text="Keyed hash of the network address.", max_length=64
                    ),
                ),
            ],
            options={
                "ordering": ["-at"],
            },
        ),
        migrations.CreateModel(
            name="ChecklistCode",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("code_hash", models.CharField(max_length=64, unique=True)),
                ("created_at", models.DateTimeField()),
                ("expires_at", models.DateTimeField()),
                (
                    "link",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="codes",
                        to="jobs.checklistlink",
                    ),
                ),
            ],
            options={
                "ordering": ["-created_at"],
            },
        ),
        migrations.CreateModel(
            name="CodeEntry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "code",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="entries",
                        to="jobs.checklistcode",
                    ),
                ),
                (
                    "link",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="entry",
                        to="jobs.checklistlink",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="ConditionPhoto",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("owed", "owed"),
                            ("promised", "promised"),
                            ("reported_done", "reported done"),
                            ("seen_done", "seen done"),
                            ("waived", "waived"),
                            ("taken_over", "taken over"),
                        ],
                        max_length=14,
                    ),
                ),
                (
                    "condition",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="photos",
                        to="jobs.condition",
                    ),
                ),
                (
                    "photo",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="contractor.photo",
                    ),
                ),
            ],
            options={
                "ordering": ["photo__sent_at"],
            },
        ),
    ]
