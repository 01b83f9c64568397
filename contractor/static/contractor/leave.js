/* Who signs in here next sees nothing of the pages that this phone kept for whoever was here
   before. What a person tapped stays: it is sent only as theirs. */
const drop = async () => {
  const names = (await window.caches?.keys()) || [];
  const pages = names.filter((name) => name.startsWith("pages-"));
  await Promise.all(pages.map((name) => caches.delete(name)));
};
drop();
addEventListener("pageshow", (event) => event.persisted && drop());
