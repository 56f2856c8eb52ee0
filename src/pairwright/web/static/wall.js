// The wall looks again every half minute, and stays as it is while the server is away.
setInterval(async () => {
  try {
    const answer = await fetch(location.href, { credentials: "same-origin" });
    if (!answer.ok) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = page.querySelector(".wall");
    if (fresh) document.querySelector(".wall")?.replaceWith(document.importNode(fresh, true));
  } catch {
    // shown as it was
  }
}, 30000);
