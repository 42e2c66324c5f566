// A slash goes to the search field; Escape leaves it.
document.addEventListener("keydown", (event) => {
  const find = document.getElementById("find");
  const typing = event.target.closest("input, select, textarea");
  if (event.key === "/" && find && !typing && !event.ctrlKey && !event.metaKey && !event.altKey) {
    event.preventDefault();
    find.focus();
    find.select();
  } else if (event.key === "Escape" && event.target === find) {
    find.blur();
  }
});
