"""A browser that sends one form: waits until its input ends, sends, prints what came back.

Called with the port, the cookies, and the form's text; prints "ready", then status, address and
text of the answer as one line of JSON.
"""

import http.client
import json
import sys

port, cookies, form = sys.argv[1:]
connection = http.client.HTTPConnection("127.0.0.1", int(port), timeout=120)
headers = {"Cookie": cookies, "Content-Type": "application/x-www-form-urlencoded"}
sys.stdout.write("ready\n")
sys.stdout.flush()
sys.stdin.read()
connection.request("POST", "/sales/new/", form, headers)
answer = connection.getresponse()
text = answer.read().decode()
sys.stdout.write(json.dumps([answer.status, answer.headers["Location"], text]) + "\n")
