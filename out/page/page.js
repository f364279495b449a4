"use strict";
// The page is whole without this. It makes a gallery of each base's pictures, opens
// what is folded where it is led to or printed.
(() => {
  for (const gallery of document.querySelectorAll(".gallery")) {
    const figures = [...gallery.querySelectorAll("figure")];
    if (figures.length < 2) continue;
    const row = document.createElement("div");
    row.className = "thumbs";
    row.setAttribute("role", "group");
    row.setAttribute("aria-label", "Pictures to choose from");
    const buttons = figures.map((figure, i) => {
      const picture = figure.querySelector("img");
      const caption = figure.querySelector("figcaption");
      const button = document.createElement("button");
      button.type = "button";
      const small = picture.cloneNode();
      small.alt = "";
      const name = document.createElement("span");
      name.textContent = caption ? caption.textContent : `Picture ${i + 1}`;
      button.append(small, name);
      button.addEventListener("click", () => choose(i));
      return button;
    });
    const choose = (chosen) => figures.forEach((figure, i) => {
      figure.classList.toggle("put-away", i !== chosen);
      buttons[i].setAttribute("aria-pressed", String(i === chosen));
    });
    row.append(...buttons);
    gallery.append(row);
    gallery.classList.add("one");
    choose(0);
  }

  // A link into something folded opens it first.
  const reveal = () => {
    const target = document.getElementById(location.hash.slice(1));
    const folded = target && target.closest("details:not([open])");
    if (!folded) return;
    folded.open = true;
    target.scrollIntoView();
  };
  addEventListener("hashchange", reveal);
  reveal();

  let opened = [];
  addEventListener("beforeprint", () => {
    opened = [...document.querySelectorAll("details:not([open])")];
    for (const d of opened) d.open = true;
    for (const picture of document.images) picture.loading = "eager";
  });
  addEventListener("afterprint", () => {
    for (const d of opened) d.open = false;
    opened = [];
  });
})();
