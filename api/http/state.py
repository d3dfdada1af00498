"""What the routes may ask of the application they belong to."""

from __future__ import annotations

from typing import Annotated

from anyio import CapacityLimiter
from fastapi import Depends, Request

from api.jobs.supervisor import Supervisor
from api.keys.key_ring import KeyRing
from api.readers.pool import ReaderPool
from api.settings import Settings
from api.store.database import Database


async def _store(request: Request) -> Database:
    store: Database = request.app.state.store
    return store


async def _supervisor(request: Request) -> Supervisor:
    supervisor: Supervisor = request.app.state.supervisor
    return supervisor


async def _readers(request: Request) -> ReaderPool:
    readers: ReaderPool = request.app.state.readers
    return readers


async def _settings(request: Request) -> Settings:
    settings: Settings = request.app.state.settings
    return settings


async def _writers(request: Request) -> CapacityLimiter:
    writers: CapacityLimiter = request.app.state.writers
    return writers


async def _ring(request: Request) -> KeyRing:
    ring: KeyRing = request.app.state.keys
    return ring


Store = Annotated[Database, Depends(_store)]
Jobs = Annotated[Supervisor, Depends(_supervisor)]
Readers = Annotated[ReaderPool, Depends(_readers)]
Ring = Annotated[KeyRing, Depends(_ring)]
Writers = Annotated[CapacityLimiter, Depends(_writers)]
Configured = Annotated[Settings, Depends(_settings)]
