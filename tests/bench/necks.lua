-- Asks a route for another neck each time, 300.0 to 699.9 mm in steps of 0.1 mm; `?as=htmx` asks as htmx does.
local n = 0
local route, headers = "/", {}

function init(args)
  route = args[1]
  if route == "/?as=htmx" then
    route = "/"
    headers["HX-Request"] = "true"
  end
end

function request()
  n = (n + 1237) % 4000
  if route == "/bare" then return wrk.format("GET", "/bare", headers) end
  return wrk.format("GET", route .. "?neck=" .. string.format("%.1f", 300 + n / 10) .. "mm", headers)
end
