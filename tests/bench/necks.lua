-- Asks a route for another neck each time, in steps of 0.1 mm from 300 mm; `?as=htmx` asks as htmx does, and
-- `?as=heavy` for the heaviest collar, from 450 mm.
local n = 0
local route, headers, least, more = "/", {}, 300, ""

function init(args)
  route = args[1]
  if route == "/?as=htmx" then
    route = "/"
    headers["HX-Request"] = "true"
  elseif string.find(route, "?as=heavy", 1, true) then
    route = string.gsub(route, "%?as=heavy", "")
    least = 450
    more = "&studs=2+in&lettering=REX+0199&style=heel-bar&width=1+1/2+in&border=dots&qr=https://oxlip.example/b&lining=padded-calf&thread=heather-thread"
  end
end

function request()
  n = (n + 1237) % 4000
  if route == "/bare" then return wrk.format("GET", "/bare", headers) end
  return wrk.format("GET", route .. "?neck=" .. string.format("%.1f", least + n / 10) .. "mm" .. more, headers)
end
