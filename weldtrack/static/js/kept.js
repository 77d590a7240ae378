// Records that this device keeps until the site has them, the oldest first; the pages use it and so does the keeper.
self.kept = (() => {
  const NAME = "spoolbook", RECORDS = "records";

  function opened() {
    return new Promise((done, failed) => {
      const asked = indexedDB.open(NAME, 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore(RECORDS, { keyPath: "id" });
      asked.onsuccess = () => done(asked.result);
      asked.onerror = () => failed(asked.error);
    });
  }

  async function through(mode, act) {
    const base = await opened();
    try {
      return await new Promise((done, failed) => {
        // Strict: what is said to be kept is on the disk.
        const change = base.transaction(RECORDS, mode, { durability: "strict" });
        const asked = act(change.objectStore(RECORDS));
        change.oncomplete = () => done(asked.result);
        change.onerror = change.onabort = () => failed(change.error);
      });
    } finally {
      base.close();
    }
  }

  return {
    all: async () => (await through("readonly", (records) => records.getAll())).sort((a, b) => (a.at < b.at ? -1 : 1)),
    put: (record) => through("readwrite", (records) => records.put(record)),
    // The card of the joint that a record's form is of, and what the site asks of a form besides.
    card_of: (url) => url.replace(/(?:fit-up|pass|examination\/[^/]+)\/(?:\?.*)?$/, ""),
    token: () => document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1] ?? "",
    remove: (id) => through("readwrite", (records) => records.delete(id)),
  };
})();
