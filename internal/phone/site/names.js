"use strict";
// The names of files, in a journal: which name leads to which number of a file.
//
// Each change is one record, [generation, number, what, path, …], written twice with the CRC of each copy, and flushed before it is
// answered. At each start a journal of the next generation is begun with all names that there are: its records are numbered
// up to 0, which says "whole" and is written when the others are flushed; those that follow have 1, 2, … Three journals take
// turns, so that the two before stay as they were.
//
// What a journal may have gone through:
//   - A last line that is cut short was never answered: it is passed over.
//   - Of a record whose one copy is spoilt, the other is read.
//   - A journal whose beginning is spoilt goes on from the names of the one before, which end where it began.
//   - Where a number is missing after 0, or there is no such beginning, records are lost. Those after it are read as far as they go.
//   - Where a name leads to no file, or a file that has something in it to no name that ever was, the last records are lost.
//
// Where records are lost nothing is removed: what no name leads to any more gets the name /found/NUMBER, and so does a new file that a
// lost record may have renamed.
globalThis.huewrightNames = (() => {
  // The table of CRC-32, whose polynomial is that of IEEE 802.3.
  const table = Uint32Array.from({ length: 256 }, (_, n) => {
    for (let k = 0; k < 8; k++) n = n & 1 ? 0xedb88320 ^ (n >>> 1) : n >>> 1;
    return n;
  });
  const crc = (bytes) => {
    let c = ~0;
    for (const b of bytes) c = table[(c ^ b) & 255] ^ (c >>> 8);
    return (~c >>> 0).toString(16).padStart(8, "0");
  };
  const encoder = new TextEncoder(),
    decoder = new TextDecoder();
  const NEWLINE = 10;
  // A line begins with an end of line too: so no spoilt byte spoils two copies.
  const linesOf = (record) => {
    const text = JSON.stringify(record),
      line = `\n${crc(encoder.encode(text))} ${text}\n`;
    return line + line;
  };
  // recordOf reads a line, or gives null.
  function recordOf(line) {
    if (line.length < 10 || decoder.decode(line.subarray(0, 9)) !== crc(line.subarray(9)) + " ") return null;
    return JSON.parse(decoder.decode(line.subarray(9)));
  }

  // read reads a journal: the latest generation in it, its records by their numbers, from the first to the last number, and where the
  // last whole line ends.
  function read(handle) {
    const bytes = new Uint8Array(handle.getSize());
    handle.read(bytes, { at: 0 });
    const j = { handle, generation: 0, records: new Map(), first: 1, last: -Infinity, end: 0 };
    for (let from = 0, to; from < bytes.length; from = to + 1) {
      to = bytes.indexOf(NEWLINE, from);
      if (to < 0) to = bytes.length;
      const record = recordOf(bytes.subarray(from, to));
      if (!record) continue;
      const [generation, number, ...said] = record;
      if (generation > j.generation) {
        j.generation = generation;
        j.records.clear();
      }
      if (generation !== j.generation || j.records.has(number)) continue;
      j.records.set(number, said);
      j.end = Math.min(to + 1, bytes.length);
    }
    for (const n of j.records.keys()) {
      j.first = Math.min(j.first, n);
      j.last = Math.max(j.last, n);
    }
    return j;
  }
  // begun tells whether all names stand at the beginning of a journal.
  function begun({ records, first }) {
    if (records.get(first)?.[0] !== "names") return false;
    for (let n = first; n <= 0; n++) if (!records.has(n)) return false;
    return true;
  }
  // together puts the journals together: all records in their order, with ["lost"] where some are missing, whether they tell all names
  // from a beginning on, and the journal that goes on.
  function together(journals) {
    journals.sort((a, b) => a.generation - b.generation);
    // One without 0 and what follows was never used: it was being begun when the program ended.
    let used = journals.filter((j) => j.last >= 0);
    const from = used.findLastIndex(begun),
      records = [];
    // Without a whole beginning all is read that there is; at the very first start that is nothing.
    used = from < 0 ? journals.filter((j) => j.records.size > 0) : used.slice(from);
    for (const [i, j] of used.entries()) {
      if (i > 0 && j.generation !== used[i - 1].generation + 1) records.push(["lost"]);
      for (let n = j.first; n <= j.last; n++) {
        const said = j.records.get(n);
        if (said) records.push(said);
        else if (n > 0) records.push(["lost"]);
      }
    }
    return { records, known: from >= 0, current: used.at(-1) ?? null };
  }

  // open opens the journals of a folder, which nobody else may have open: that is NoModificationAllowedError.
  async function open(top) {
    const handles = [];
    const close = () => {
      for (const h of handles) h.close();
    };
    let journals;
    try {
      for (const name of ["names-a", "names-b", "names-c"])
        handles.push(await (await top.getFileHandle(name, { create: true })).createSyncAccessHandle());
      journals = handles.map(read);
    } catch (e) {
      close();
      throw e;
    }
    const { records, known, current } = together(journals);
    let journal = current,
      number = 0,
      length = 0;
    // write appends text whole, or not at all.
    function write(text) {
      const bytes = encoder.encode(text),
        { handle } = journal;
      try {
        for (let done = 0; done < bytes.length;) {
          const n = handle.write(bytes.subarray(done), { at: length + done });
          if (n === 0) throw Object.assign(new Error("ENOSPC"), { code: "ENOSPC" });
          done += n;
        }
        handle.flush();
      } catch (e) {
        try {
          handle.truncate(length);
        } catch {
          /* the next record is written over it */
        }
        throw e;
      }
      length += bytes.length;
    }
    return {
      records,
      known,
      close,
      // note keeps a record.
      note(...said) {
        write(linesOf([journal.generation, number + 1, ...said]));
        number++;
      },
      // begin begins the next journal with records of all names. Where there is no room for it the present one goes on, if there is one
      // and it may.
      begin(all, latest, mayGoOn) {
        const others = journals.filter((j) => j !== current),
          next = others.find((j) => j.last < 0) ?? others[0],
          generation = (current?.generation ?? 0) + 1;
        journal = { handle: next.handle, generation };
        length = 0;
        try {
          next.handle.truncate(0);
          write([["names", latest], ...all].map((said, i) => linesOf([generation, i - all.length - 1, ...said])).join(""));
          write(linesOf([generation, 0, "whole"]));
        } catch (e) {
          next.handle.truncate(0);
          next.handle.flush(); // were it whole after all, it would hide what follows in the present one
          if (!current || !mayGoOn) throw e;
          journal = current;
          length = current.end;
          number = current.last;
          journal.handle.truncate(length);
        }
      },
    };
  }

  // recall makes the names that a journal tells of, in the tree of a file system, and begins the next. It gives the latest number of a
  // file, those that may be removed, and whether records were lost. files is the folder of OPFS that the files lie in.
  //
  // Records are [what, path, …]: "file" with its number, "folder", "gone", and "moved" with the new path and, of a file, its
  // number; and "names" with the latest number, "whole", "lost".
  async function recall(journal, files, { root, folder, file, namesOf, passing }) {
    const numbered = new Map(),
      fresh = new Set(); // files of this journal that were not renamed
    let latest = 0,
      hurt = false;
    const fileOf = (id) => {
      latest = Math.max(latest, id);
      if (!numbered.has(id)) numbered.set(id, file(id));
      return numbered.get(id);
    };
    // reach is a place, whose folders are made where what made them is lost.
    const reach = (path) => {
      const names = namesOf(path),
        name = names.pop();
      let at = root;
      for (const n of names) {
        if (!at.folder.get(n)?.folder) at.folder.set(n, folder());
        at = at.folder.get(n);
      }
      return [at.folder, name];
    };
    const doubt = () => {
      hurt = true;
    };
    const kinds = {
      names(number) {
        latest = Math.max(latest, number);
      },
      whole: () => fresh.clear(),
      lost: doubt,
      file(path, id) {
        const [within, name] = reach(path),
          node = fileOf(id);
        within.set(name, node);
        fresh.add(node);
      },
      folder(path) {
        const [within, name] = reach(path);
        if (!within.get(name)?.folder) within.set(name, folder());
      },
      gone(path) {
        const [within, name] = reach(path);
        within.delete(name);
      },
      moved(path, to, id) {
        const [within, name] = reach(path),
          node = id ? fileOf(id) : within.get(name);
        within.delete(name);
        if (!node) return;
        const [there, called] = reach(to);
        there.set(called, node);
        fresh.delete(node);
      },
    };
    for (const [what, ...more] of journal.records) kinds[what](...more);

    const here = new Set();
    for await (const name of files.keys()) if (/^[1-9]\d*$/.test(name)) here.add(Number(name));
    if (!journal.known && here.size > 0) doubt();
    // eachFile visits what names lead to files.
    const eachFile = (visit, at = root) => {
      for (const [name, n] of at.folder) n.folder ? eachFile(visit, n) : visit(n, name, at.folder);
    };
    // A file is there before its name, and stays until after it.
    eachFile((n, name, within) => {
      if (here.has(n.id)) return;
      within.delete(name);
      doubt();
    });
    const nameless = () => {
      const left = new Set(here);
      eachFile((n) => left.delete(n.id));
      return [...left];
    };
    // Nothing is written to a file that has no name yet.
    const written = async (id) => (await (await files.getFileHandle(String(id))).getFile()).size > 0;
    for (const id of nameless()) if (id > latest && (await written(id))) doubt();
    if (hurt)
      for (const id of [...nameless(), ...[...fresh].map((n) => n.id)])
        if (here.has(id)) {
          const [found, name] = reach(`/found/${id}`);
          found.set(name, fileOf(id));
        }
    latest = [...here].reduce((a, b) => Math.max(a, b), latest);
    for (const n of numbered.values()) n.names = 0;
    eachFile((n) => n.names++);

    const records = (at = root, path = "") =>
      [...at.folder].flatMap(([name, n]) => {
        const here = `${path}/${name}`;
        if (passing(here)) return [];
        return n.folder ? [["folder", here], ...records(n, here)] : [["file", here, n.id]];
      });
    journal.begin(records(), latest, !hurt);
    return { latest, strays: nameless(), hurt };
  }
  return { open, recall };
})();
