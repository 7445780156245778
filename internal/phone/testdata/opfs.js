"use strict";
// The browser's file system (OPFS) in memory, for tests: what of it site/fs.js asks for. What was written and not flushed is lost by
// lose(), and there is no more room than room says.
class Taken extends Error {
  constructor() {
    super("taken");
    this.name = "NoModificationAllowedError";
  }
}
class Missing extends Error {
  constructor(name) {
    super(name);
    this.name = "NotFoundError";
  }
}
class NoRoom extends Error {
  constructor() {
    super("no room");
    this.name = "QuotaExceededError";
  }
}

class Disk {
  room = Infinity;
  files = new Set();
  used() {
    let n = 0;
    for (const f of this.files) n += f.size;
    return n;
  }
}

class Handle {
  constructor(file) {
    if (file.handle) throw new Taken();
    this.file = file;
    file.handle = this;
  }
  live() {
    if (this.file.handle !== this) {
      const e = new Error("closed");
      e.name = "InvalidStateError";
      throw e;
    }
    return this.file;
  }
  getSize() {
    return this.live().size;
  }
  read(into, { at = 0 } = {}) {
    const f = this.live(),
      n = Math.max(0, Math.min(into.length, f.size - at));
    into.set(f.bytes.subarray(at, at + n));
    return n;
  }
  write(from, { at = 0 } = {}) {
    const f = this.live(),
      end = at + from.length;
    f.room(end);
    f.bytes.set(from, at);
    f.size = Math.max(f.size, end);
    return from.length;
  }
  truncate(to) {
    const f = this.live();
    f.room(to);
    if (to < f.size) f.bytes.fill(0, to, f.size);
    f.size = to;
  }
  flush() {
    const f = this.live();
    f.flushed = f.bytes.slice(0, f.size);
  }
  close() {
    if (this.file.handle === this) this.file.handle = null;
  }
}

class File {
  kind = "file";
  bytes = new Uint8Array(0);
  size = 0;
  flushed = new Uint8Array(0);
  handle = null;
  constructor(disk) {
    this.disk = disk;
    disk.files.add(this);
  }
  room(end) {
    if (end > this.size && this.disk.used() - this.size + end > this.disk.room) throw new NoRoom();
    if (end > this.bytes.length) {
      const larger = new Uint8Array(Math.max(end, 2 * this.bytes.length));
      larger.set(this.bytes.subarray(0, this.size));
      this.bytes = larger;
    }
  }
  async createSyncAccessHandle() {
    return new Handle(this);
  }
  async getFile() {
    return { size: this.size, lastModified: 0 };
  }
  lose() {
    this.handle = null;
    this.bytes = this.flushed.slice();
    this.size = this.bytes.length;
  }
}

class Folder {
  kind = "directory";
  entries = new Map();
  constructor(disk = new Disk()) {
    this.disk = disk;
  }
  async getDirectoryHandle(name, { create = false } = {}) {
    return this.entry(name, create, Folder);
  }
  async getFileHandle(name, { create = false } = {}) {
    return this.entry(name, create, File);
  }
  entry(name, create, Kind) {
    let e = this.entries.get(name);
    if (!e) {
      if (!create) throw new Missing(name);
      this.entries.set(name, (e = new Kind(this.disk)));
    }
    return e;
  }
  async removeEntry(name) {
    const e = this.entries.get(name);
    if (!e) throw new Missing(name);
    if (e.handle) throw new Taken();
    this.disk.files.delete(e);
    this.entries.delete(name);
  }
  async *keys() {
    yield* [...this.entries.keys()];
  }
  lose() {
    for (const e of this.entries.values()) e.lose();
  }
}

module.exports = { Folder };
