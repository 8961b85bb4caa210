// Offers the browser's own time zone where none is chosen yet; the owner sees it and may change it.

const select = document.querySelector("select[name=time_zone]");
const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
if (select && !select.value && [...select.options].some((option) => option.value === zone)) select.value = zone;
