"""The first schema: lessons, what was filmed and measured, and what students read."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "body",
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("radius_m", sa.Double(), nullable=False),
        sa.Column("radius_u_m", sa.Double(), nullable=False),
        sa.Column("length_m", sa.Double(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("deletion", sa.Integer(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_body")),
        sa.UniqueConstraint("name", "deletion", name=op.f("uq_body")),
    )
    op.create_index(op.f("ix_body_deletion"), "body", ["deletion"], unique=False)
    op.create_table(
        "deletion",
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_deletion")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "lesson",
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("code_hash", sa.String(length=200), nullable=True),
        sa.Column("keep_days", sa.Integer(), nullable=True),
        sa.Column("deletion", sa.Integer(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lesson")),
    )
    op.create_index(op.f("ix_lesson_deletion"), "lesson", ["deletion"], unique=False)
    op.create_table(
        "setting",
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_setting")),
        sa.UniqueConstraint("name", name=op.f("uq_setting")),
    )
    op.create_table(
        "surface",
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("deletion", sa.Integer(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_surface")),
        sa.UniqueConstraint("name", "deletion", name=op.f("uq_surface")),
    )
    op.create_index(op.f("ix_surface_deletion"), "surface", ["deletion"], unique=False)
    op.create_table(
        "class_group",
        sa.Column("lesson_id", sa.Integer(), nullable=False),
        sa.Column("label", sa.String(length=200), nullable=False),
        sa.Column("deletion", sa.Integer(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["lesson_id"], ["lesson.id"], name=op.f("fk_class_group_lesson_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_class_group")),
        sa.UniqueConstraint("lesson_id", "label", "deletion", name=op.f("uq_class_group")),
    )
    op.create_index(op.f("ix_class_group_deletion"), "class_group", ["deletion"], unique=False)
    op.create_table(
        "prediction",
        sa.Column("body_id", sa.Integer(), nullable=False),
        sa.Column("height_m", sa.Double(), nullable=False),
        sa.Column("height_u_m", sa.Double(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("deletion", sa.Integer(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["body_id"], ["body.id"], name=op.f("fk_prediction_body_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_prediction")),
    )
    op.create_index(op.f("ix_prediction_body_id"), "prediction", ["body_id"], unique=False)
    op.create_index(op.f("ix_prediction_deletion"), "prediction", ["deletion"], unique=False)
    op.create_table(
        "balance_reading",
        sa.Column("lesson_id", sa.Integer(), nullable=False),
        sa.Column("group_id", sa.Integer(), nullable=True),
        sa.Column("body_id", sa.Integer(), nullable=False),
        sa.Column("overhang_m", sa.Double(), nullable=False),
        sa.Column("end", sa.String(length=10), nullable=False),
        sa.Column("edge_radius_m", sa.Double(), nullable=False),
        sa.Column("scale_u_m", sa.Double(), nullable=False),
        sa.Column("deletion", sa.Integer(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["body_id"], ["body.id"], name=op.f("fk_balance_reading_body_id")),
        sa.ForeignKeyConstraint(
            ["group_id"], ["class_group.id"], name=op.f("fk_balance_reading_group_id")
        ),
        sa.ForeignKeyConstraint(
            ["lesson_id"], ["lesson.id"], name=op.f("fk_balance_reading_lesson_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_balance_reading")),
    )
    op.create_index(
        op.f("ix_balance_reading_deletion"), "balance_reading", ["deletion"], unique=False
    )
    op.create_index(
        op.f("ix_balance_reading_lesson_id"), "balance_reading", ["lesson_id"], unique=False
    )
    op.create_table(
        "clip",
        sa.Column("lesson_id", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("stored", sa.String(length=80), nullable=True),
        sa.Column("cropped", sa.Boolean(), nullable=False),
        sa.Column("group_id", sa.Integer(), nullable=True),
        sa.Column("body_id", sa.Integer(), nullable=True),
        sa.Column("surface_id", sa.Integer(), nullable=True),
        sa.Column("repeat", sa.Integer(), nullable=True),
        sa.Column("start_tilt_rad", sa.Double(), nullable=False),
        sa.Column("added_at", sa.DateTime(), nullable=False),
        sa.Column("deletion", sa.Integer(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["body_id"], ["body.id"], name=op.f("fk_clip_body_id")),
        sa.ForeignKeyConstraint(["group_id"], ["class_group.id"], name=op.f("fk_clip_group_id")),
        sa.ForeignKeyConstraint(["lesson_id"], ["lesson.id"], name=op.f("fk_clip_lesson_id")),
        sa.ForeignKeyConstraint(["surface_id"], ["surface.id"], name=op.f("fk_clip_surface_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_clip")),
        sa.UniqueConstraint("lesson_id", "sha256", "deletion", name=op.f("uq_clip")),
    )
    op.create_index(op.f("ix_clip_deletion"), "clip", ["deletion"], unique=False)
    op.create_table(
        "reading",
        sa.Column("clip_id", sa.Integer(), nullable=False),
        sa.Column("outcome", sa.String(length=20), nullable=False),
        sa.Column("angle_rad", sa.Double(), nullable=True),
        sa.Column("budget", sa.JSON(), nullable=False),
        sa.Column("onset_s", sa.Double(), nullable=True),
        sa.Column("onset_frame", sa.Integer(), nullable=True),
        sa.Column("largest_tilt_rad", sa.Double(), nullable=True),
        sa.Column("largest_tilt_u_rad", sa.Double(), nullable=True),
        sa.Column("reasons", sa.JSON(), nullable=False),
        sa.Column("by_hand", sa.Boolean(), nullable=False),
        sa.Column("seconds_taken", sa.Double(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("frames_read", sa.Integer(), nullable=False),
        sa.Column("duration_s", sa.Double(), nullable=False),
        sa.Column("frames_per_second", sa.Double(), nullable=False),
        sa.Column("radius_m", sa.Double(), nullable=True),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("series", sa.LargeBinary(length=2147483648), nullable=True),
        sa.Column("deletion", sa.Integer(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["clip_id"], ["clip.id"], name=op.f("fk_reading_clip_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reading")),
    )
    op.create_index(op.f("ix_reading_clip_id"), "reading", ["clip_id"], unique=False)
    op.create_index(op.f("ix_reading_deletion"), "reading", ["deletion"], unique=False)
    op.create_table(
        "student_reading",
        sa.Column("clip_id", sa.Integer(), nullable=False),
        sa.Column("by", sa.String(length=200), nullable=False),
        sa.Column("protractor_rad", sa.Double(), nullable=False),
        sa.Column("reads_to_rad", sa.Double(), nullable=False),
        sa.Column("height_m", sa.Double(), nullable=True),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("slip", sa.Text(), nullable=True),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("deletion", sa.Integer(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["clip_id"], ["clip.id"], name=op.f("fk_student_reading_clip_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_student_reading")),
    )
    op.create_index(
        op.f("ix_student_reading_clip_id"), "student_reading", ["clip_id"], unique=False
    )
    op.create_index(
        op.f("ix_student_reading_deletion"), "student_reading", ["deletion"], unique=False
    )
    op.create_table(
        "picture",
        sa.Column("reading_id", sa.Integer(), nullable=False),
        sa.Column("moment", sa.String(length=40), nullable=False),
        sa.Column("frame", sa.Integer(), nullable=False),
        sa.Column("time_s", sa.Double(), nullable=False),
        sa.Column("jpeg", sa.LargeBinary(length=2147483648), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["reading_id"], ["reading.id"], name=op.f("fk_picture_reading_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_picture")),
    )
    op.create_index(op.f("ix_picture_reading_id"), "picture", ["reading_id"], unique=False)
    # Writers of a database that lets several in at once hold this row in turn.
    turn = sa.table("setting", sa.column("name", sa.String), sa.column("value", sa.Text))
    op.bulk_insert(turn, [{"name": "turn", "value": ""}])
