"""The store's tables."""

from sqlalchemy import ForeignKey, Integer, LargeBinary, String, Text
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

STORE_VERSION = 1


class Base(DeclarativeBase):
    """Root of the mapped tables."""


class About(Base):
    """One row: which layout these tables have."""

    __tablename__ = "offgrid_about"
    name: Mapped[str] = mapped_column(String(40), primary_key=True)
    value: Mapped[str] = mapped_column(String(200))


class SketchRow(Base):
    """A saved sketch; `head` is the revision on screen, `last` the highest number given out."""

    __tablename__ = "offgrid_sketches"
    token: Mapped[str] = mapped_column(String(64), primary_key=True)
    share_token: Mapped[str] = mapped_column(String(64), unique=True)
    title: Mapped[str] = mapped_column(String(200))
    head: Mapped[int] = mapped_column(Integer)
    last: Mapped[int] = mapped_column(Integer)
    created_at: Mapped[str] = mapped_column(String(40))
    changed_at: Mapped[str] = mapped_column(String(40), index=True)
    deleted_at: Mapped[str | None] = mapped_column(String(40))


class RevisionRow(Base):
    """One state of a sketch. `parent` is where undo leads; the newest child is where redo leads."""

    __tablename__ = "offgrid_revisions"
    token: Mapped[str] = mapped_column(
        ForeignKey("offgrid_sketches.token", ondelete="CASCADE"), primary_key=True
    )
    number: Mapped[int] = mapped_column(Integer, primary_key=True)
    parent: Mapped[int | None] = mapped_column(Integer)
    saved_at: Mapped[str] = mapped_column(String(40))
    note: Mapped[str] = mapped_column(String(200), default="")
    name: Mapped[str | None] = mapped_column(String(120))
    digest: Mapped[str] = mapped_column(String(64))
    body: Mapped[str] = mapped_column(Text)


class FileRow(Base):
    """A dropped file (weather, meter, logger), once per content."""

    __tablename__ = "offgrid_files"
    digest: Mapped[str] = mapped_column(String(64), primary_key=True)
    saved_at: Mapped[str] = mapped_column(String(40))
    size: Mapped[int] = mapped_column(Integer)
    content: Mapped[bytes] = mapped_column(LargeBinary)
