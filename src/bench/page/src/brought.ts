// Files that were brought and not kept yet outlive a reload: they lie in the browser's own store until
// they are kept or put away. Where the browser has none, they are only not remembered.

export interface Brought {
  name: string;
  bytes: Blob;
  scale: string;
  wavelengths: string;
  said: unknown;
}

const shelf = 'brought';

function opened(): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open('mendtone', 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(shelf);
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

async function doing<T>(mode: IDBTransactionMode, work: (store: IDBObjectStore) => IDBRequest): Promise<T | undefined> {
  try {
    const base = await opened();
    return await new Promise<T>((resolve, reject) => {
      const asked = work(base.transaction(shelf, mode).objectStore(shelf));
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = () => reject(asked.error);
      asked.transaction!.oncomplete = () => base.close();
    });
  } catch {
    return undefined;
  }
}

/// The record's address parts one record's files from another's.
const keyOf = (draft: string, record: string) => `${record}|${draft}`;

export const remembered = (draft: string, record: string) =>
  doing<Brought[]>('readonly', (store) => store.get(keyOf(draft, record)));
export const remember = (draft: string, record: string, files: Brought[]) =>
  doing('readwrite', (store) => (files.length ? store.put(files, keyOf(draft, record)) : store.delete(keyOf(draft, record))));
